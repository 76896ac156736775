"""What a request may measure, said once: enforced, listed at ``/v1/about``, documented."""

from typing import Final

from tuckmark.cutting.request import MOST_PIECES
from tuckmark.document import LARGE_BYTES, MAX_BYTES, MAX_DEPTH
from tuckmark.validation import MAX_FAULTS
from tuckmark.web.bodies import BATCH_BYTES, BATCH_LINES

TARGET_CHARACTERS: Final = 8000
#: the whole request line has room for the longest target, a method and the protocol
REQUEST_LINE_BYTES: Final = 8190
HEADER_FIELDS: Final = 100
HEADER_FIELD_BYTES: Final = 8190
#: of a body that is too large, so many bytes are still read before it is refused
DISCARDED_BYTES: Final = 8 * 1024 * 1024
RETRY_AFTER_S: Final = "5"

#: as listed to users
LISTING: Final = {
    "document_bytes": MAX_BYTES,
    "batch_bytes": BATCH_BYTES,
    "batch_lines": BATCH_LINES,
    "cutlist_bytes": LARGE_BYTES,
    "cutlist_pieces": MOST_PIECES,
    "nesting_depth": MAX_DEPTH,
    "request_target_characters": TARGET_CHARACTERS,
    "header_fields": HEADER_FIELDS,
    "header_field_bytes": HEADER_FIELD_BYTES,
    "faults_listed": MAX_FAULTS,
}
