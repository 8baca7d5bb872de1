"""The codes of bytes that cannot be used."""

from __future__ import annotations

from enum import StrEnum


class GarbledCode(StrEnum):
    """Why bytes are no frame of ours, or a frame no message, or a block no edges."""

    TOO_LONG = "too_long"
    NOT_COBS = "not_cobs"
    WRONG_CRC = "wrong_crc"
    OTHER_PROTOCOL = "other_protocol"
    UNKNOWN_MESSAGE = "unknown_message"
    WRONG_LENGTH = "wrong_length"
    HOSTS_MESSAGE = "hosts_message"
    BLOCK_TOO_LONG = "block_too_long"
    BLOCK_OUT_OF_REACH = "block_out_of_reach"
    BLOCK_UNPREDICTED = "block_unpredicted"
    BLOCK_INTERVAL = "block_interval"
    BLOCK_ESCAPE = "block_escape"
