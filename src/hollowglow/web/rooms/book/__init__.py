"""The room Book."""
