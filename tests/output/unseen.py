#!/usr/bin/python3
"""What is kept from terminals, against the Unicode tables that come with Perl.

Usage: unseen.py LISTER

LISTER (unseen.cpp) lists the characters that are replaced. They have to be: the general categories
Cc, Zl and Zp, Default_Ignorable_Code_Point, Bidi_Control, and the marks of interlinear annotation,
U+FFF9 to U+FFFB.
"""

import shutil
import subprocess
import sys

PERL = r"""
no warnings;
for my $code (0 .. 0x10FFFF) {
    next if $code >= 0xD800 && $code <= 0xDFFF;
    my $c = chr $code;
    print sprintf("%X\n", $code)
        if $c =~ /[\p{Cc}\p{Zl}\p{Zp}\p{Default_Ignorable_Code_Point}\p{Bidi_Control}]/
        || $code >= 0xFFF9 && $code <= 0xFFFB;
}
"""


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    if shutil.which("perl") is None:
        print("no perl, whose tables are what is compared with")
        sys.exit(77)
    lister = subprocess.run([sys.argv[1]], capture_output=True, text=True)
    print(lister.stderr, end="")
    tables = subprocess.run(["perl", "-e", PERL], check=True, capture_output=True, text=True)
    replaced, expected = set(lister.stdout.split()), set(tables.stdout.split())
    for code in sorted(expected - replaced, key=lambda c: int(c, 16))[:20]:
        print(f"U+{code:0>4} reaches the terminal")
    for code in sorted(replaced - expected, key=lambda c: int(c, 16))[:20]:
        print(f"U+{code:0>4} is replaced, and need not be")
    print(f"{len(expected)} characters are to be replaced, {len(replaced)} are")
    sys.exit(0 if replaced == expected and len(expected) > 4000 and lister.returncode == 0 else 1)


main()
