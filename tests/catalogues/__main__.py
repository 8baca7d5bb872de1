"""Renews the catalogues: `make catalogues`, then translate what is empty in host/unspool/locale."""

from __future__ import annotations

from catalogues.messages import OTHERS, renew

for code in OTHERS:
    print(f"{code}: {renew(code)} messages are not translated")
