"""Certificate: what the pages are served with by TLS, found sound before anything is served."""

from __future__ import annotations

import ssl
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from unspool.errors import InputError

# Of OpenSSL's reasons for not trusting a certificate (X509_V_ERR_...), those that a user can mend.
_NOT_YET, _OVER = 9, 10
_ASIDE = "; leave --certificate and --key out to serve without encryption"


@dataclass(frozen=True)
class Certificate:
    """names: what browsers may call the computer by, host names and addresses.

    ends: when it ends, as the certificate writes it.
    """

    context: ssl.SSLContext
    names: tuple[str, ...]
    ends: str


def load_certificate(file: Path, key: Path) -> Certificate:
    """Raises InputError for a pair that browsers could not use, with what to do about it."""
    for path, what in ((file, "certificate"), (key, "key")):
        _require_readable(path, what)
    own = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    own.minimum_version = ssl.TLSVersion.TLSv1_2
    _load(own, file, key)
    said = _shown(own, file)
    names = tuple(str(name) for kind, name in said.get("subjectAltName", ()) if kind in _NAMED)
    return Certificate(own, names, str(said.get("notAfter", "")))


_NAMED = ("DNS", "IP Address")


def _require_readable(path: Path, what: str) -> None:
    try:
        with path.open("rb") as file:
            file.read(1)
    except FileNotFoundError:
        raise InputError(f"there is no {what} at {path}; check --{what}") from None
    except OSError as error:
        raise InputError(f"the {what} {path} cannot be read: {error.strerror}") from error


def _load(context: ssl.SSLContext, file: Path, key: Path) -> None:
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT).load_verify_locations(file)
    except (ssl.SSLError, ValueError):
        raise InputError(f"{file} has no certificate in PEM form; check --certificate") from None

    def no_password() -> str:
        raise InputError(f"the key {key} is locked by a password; give one without")

    try:
        context.load_cert_chain(file, key, password=no_password)
    except ssl.SSLError as error:
        if error.reason == "KEY_VALUES_MISMATCH":
            raise InputError(f"the key {key} is not that of the certificate {file}") from None
        reason = str(error.reason or "").lower().replace("_", " ")
        if reason in ("", "no start line", "pem lib", "unsupported", "bad object header"):
            raise InputError(f"{key} has no key in PEM form; check --key") from None
        raise InputError(f"the certificate {file} cannot be used: {reason}") from None


def _shown(own: ssl.SSLContext, file: Path) -> Mapping[str, Any]:
    """What a browser that trusts the certificate sees of it. Raises InputError as it would."""
    browser = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    browser.check_hostname = False
    browser.verify_flags |= ssl.VERIFY_X509_PARTIAL_CHAIN
    browser.load_verify_locations(file)
    there, here = ssl.MemoryBIO(), ssl.MemoryBIO()
    client, server = browser.wrap_bio(there, here), own.wrap_bio(here, there, server_side=True)
    try:
        for _turn in range(4):
            for end in (client, server):
                _go_on(end)
    except ssl.SSLCertVerificationError as error:
        raise InputError(_why(file, error)) from None
    return client.getpeercert() or {}


def _go_on(end: ssl.SSLObject) -> None:
    try:
        end.do_handshake()
    except ssl.SSLWantReadError:
        return


def _why(file: Path, error: ssl.SSLCertVerificationError) -> str:
    if error.verify_code == _OVER:
        return f"the certificate {file} has ended; get a new one{_ASIDE}"
    if error.verify_code == _NOT_YET:
        return (
            f"the certificate {file} does not hold yet, or this computer's clock is wrong{_ASIDE}"
        )
    return f"browsers would refuse the certificate {file}: {error.verify_message}"
