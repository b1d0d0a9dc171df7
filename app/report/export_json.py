"""A take as JSON: its document, and procedure and chain as they were, whole."""

import json
from pathlib import Path

from app.records.take import Take
from app.report.atomic import write_whole
from app.report.take_document import take_document


def export_json(take: Take, *, folder: Path) -> tuple[Path, ...]:
    """Write ``take.json``: UTF-8, keys as in ``--json``, and both snapshots beside them."""
    document = take_document(take) | {
        "procedure_snapshot": json.loads(take.procedure.model_dump_json()),
        "chain_snapshot": json.loads(take.chain.model_dump_json()),
    }
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
    return (write_whole(folder / "take.json", f"{text}\n".encode()),)
