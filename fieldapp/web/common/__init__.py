"""What every page needs: who asks, in which language, with which rights, and the way to the log."""
