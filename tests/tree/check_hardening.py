"""Reads off built programs and libraries whether they are hardened.  Use: check_hardening.py FORTIFIED CONTROL_FLOW FILE...

FORTIFIED, CONTROL_FLOW: 1 where the compiler was told so and can. Of what readelf and objdump print:
  position independent   Type: DYN
  full relro             a GNU_RELRO segment, and BIND_NOW among the dynamic flags
  no executable stack    GNU_STACK without E
  stack protector        __stack_chk_fail is called
  fortified              at least one __..._chk of glibc is called
  control flow           main (dw_plugin_entry) begins with endbr64. Debian 12's start files lack the mark that lets a kernel
                         enforce it, so the file as a whole can't carry it either.
"""
import re
import subprocess
import sys


def elf(path):
    return subprocess.run(["readelf", "-W", "-hld", "--dyn-syms", path], check=True, capture_output=True, text=True).stdout


def entry_marked(path, program):
    name = "main" if program else "dw_plugin_entry"
    code = subprocess.run(["objdump", "-d", "--no-show-raw-insn", f"--disassemble={name}", path], check=True,
                          capture_output=True, text=True).stdout
    return re.search(rf"<{name}>:\n\s*[0-9a-f]+:\s+endbr64", code)


def faults(path, text, fortified, control_flow, program):
    if not re.search(r"Type:\s+DYN", text):
        yield "its address is fixed"
    if "GNU_RELRO" not in text or not re.search(r"BIND_NOW|Flags:.*NOW", text):
        yield "its table of addresses stays writable"
    stack = re.search(r"GNU_STACK\s.*", text)
    if not stack or re.search(r"\bR?W?E\b", stack.group()):
        yield "its stack is executable"
    if program and "__stack_chk_fail" not in text:
        yield "its stack is not guarded"
    if program and fortified and not re.search(r"__(?!stack)\w+_chk\b", text):
        yield "nothing in it is fortified"
    if control_flow and not entry_marked(path, program):
        yield "its jumps are not checked"


def main():
    fortified, control_flow = sys.argv[1] == "1", sys.argv[2] == "1"
    found = [f"{path}: {why}" for path in sys.argv[3:]
             for why in faults(path, elf(path), fortified, control_flow, not path.endswith(".so"))]
    print("\n".join(found) or f"{len(sys.argv) - 3} files are hardened")
    return 1 if found else 0


sys.exit(main())
