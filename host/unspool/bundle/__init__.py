"""Bundles: runs with all that is known of them, in one file. Runs of a store come in.

The bytes of a file go out, which another unspool turns into the same runs. docs/formats.md has
the format.
"""

from unspool.bundle.archive import LARGEST_BUNDLE_BYTES, is_bundle
from unspool.bundle.manifest import MOST_RUNS
from unspool.bundle.read import read_bundle
from unspool.bundle.write import bundle_bytes

__all__ = ["LARGEST_BUNDLE_BYTES", "MOST_RUNS", "bundle_bytes", "is_bundle", "read_bundle"]
