"""The log on a database server (PostgreSQL): one store for several laptops, each kit in a schema."""
