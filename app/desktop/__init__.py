"""The workbench: one window in which everything is done; the only place that knows Qt."""
