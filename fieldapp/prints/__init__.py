"""Turns kit, plan and state into the plain records that `labels` draws."""
