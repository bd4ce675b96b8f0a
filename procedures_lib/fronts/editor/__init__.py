"""The help inside an editor: findings, completion, facts, ids followed and renamed, as one types.

It speaks the Language Server Protocol (3.17) through pygls, which ``server.py`` and ``answers.py``
alone know.
"""
