"""Pictures and exports of a take."""
