"""What --help lists, for the tests that hold other things to it."""

import re
import subprocess


def commands(binary, words=()):
    """Each command with its help, as the program lists them."""
    text = subprocess.run([binary, *words, "--help"], capture_output=True, text=True).stdout
    yield words, text
    listed = re.search(r"^Subcommands:\n((?:  .*\n)+)", text, re.M)
    for name in re.findall(r"^  (\S+)", listed.group(1) if listed else "", re.M):
        yield from commands(binary, (*words, name))
