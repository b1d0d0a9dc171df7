"""``dustcap calibrate LINK``: one file a link."""
