"""The schema of a store, step by step. A database of a former version comes in.

It goes out with the newest tables and all that it held. Alembic takes the steps, on SQLite and on
PostgreSQL. A step that was ever published is never changed again.
"""
