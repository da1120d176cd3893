"""An inspection round on the phone."""
