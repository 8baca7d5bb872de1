"""Recordings that are hurt: boards and recorders in processes of their own, and the store after."""
