"""Write the sheets of all samples anew, as text, and those of the dictation as Word and as a page. Run by hand."""

from __future__ import annotations

from pathlib import Path

import narrate
from narrate.render import write_sheet

SAMPLES = Path(__file__).resolve().parent.parent.parent / "samples"


def main() -> None:
    out = SAMPLES / "sheets"
    out.mkdir(exist_ok=True)
    for path in sorted(p for p in SAMPLES.iterdir() if p.suffix in (".txt", ".md", ".srt", ".vtt")):
        sheet = narrate.compile_file(path, dictated_on="2026-10-15")
        (out / f"{path.stem}.txt").write_bytes(write_sheet(sheet, "text"))
        if path.stem == "compressor-dictation":
            (out / f"{path.stem}.docx").write_bytes(write_sheet(sheet, "docx"))
            (out / f"{path.stem}.html").write_bytes(write_sheet(sheet, "html"))
        print(path.name, [job.title for job in sheet.jobs])


if __name__ == "__main__":
    main()
