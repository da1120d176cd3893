"""What happened: entries, the rules that admit them, the state they add up to, and the database."""
