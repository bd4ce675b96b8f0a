"""The help inside an editor: findings, completion, facts, ids followed and renamed, as one types.

It speaks the Language Server Protocol (3.17), through pygls; no other file but ``server.py`` does.
"""
