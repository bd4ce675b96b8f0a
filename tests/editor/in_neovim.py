"""Starts Neovim as the guide configures it, on a page with a slip; prints what it shows.

``python -m tests.editor.in_neovim [PATH OF NVIM]``; by hand, as no test needs an editor.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
WORK = "docs/procedures/fit-tf-220.md"
ASK = """
vim.wait(20000, function() return #vim.diagnostic.get(0) > 0 end, 50)
for _, each in ipairs(vim.diagnostic.get(0)) do
  print(("line %d: %s: %s"):format(each.lnum + 1, each.code, each.message))
end
local line = vim.fn.search("{torque}`")
local column = vim.fn.getline(line):find("{torque}`") + 10
local place = {
  textDocument = { uri = vim.uri_from_bufnr(0) },
  position = { line = line - 1, character = column },
}
for _, method in ipairs({ "textDocument/hover", "textDocument/definition" }) do
  for _, answer in pairs(vim.lsp.buf_request_sync(0, method, place, 5000)) do
    print(method, vim.inspect(answer.result))
  end
end
"""


def main(nvim: str) -> None:
    """Print the findings, the facts and the place of a torque, as the editor has them."""
    page = (PROJECT / "docs" / "reference" / "editors.md").read_text("utf-8")
    settings = re.search(r"^```text\n(vim\.lsp\.config.+?)^```$", page, re.M | re.S)
    assert settings
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in ("docs", "conf"):
            shutil.copytree(PROJECT / part, folder / part)
        work = folder / WORK
        work.write_text(work.read_text("utf-8").replace("revision: ", "revison: ", 1), "utf-8")
        (folder / ".git").mkdir()
        (folder / "init.lua").write_text(settings[1], "utf-8")
        (folder / "ask.lua").write_text(ASK, "utf-8")
        command = folder / "procedures"
        command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m procedures_lib "$@"\n', "utf-8")
        command.chmod(0o755)
        path = f"{folder}{os.pathsep}{os.environ['PATH']}"
        words = ["--headless", "--clean", "-u", "init.lua", WORK, "-c", "luafile ask.lua", "-c"]
        subprocess.run(  # noqa: S603
            [nvim, *words, "qa!"],
            cwd=folder,
            env={**os.environ, "PATH": path, "PYTHONPATH": str(PROJECT)},
            check=True,
        )


if __name__ == "__main__":
    main(*(sys.argv[1:] or ["nvim"]))
