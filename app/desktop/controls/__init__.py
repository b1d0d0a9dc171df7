"""Fields, buttons, heads and tables that every bay is made of."""
