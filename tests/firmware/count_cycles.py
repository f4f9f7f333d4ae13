#!/usr/bin/env python3
"""Checks the timing that each board promises (its board.h, told to the host by IDENTIFY) against the linked program.

Usage: count_cycles.py CHIP ELF [CHIP ELF]...

Reads `avr-objdump -d`, adds up cycles along every path between two looks at the inputs, and compares the longest ones with the
figures in src/firmware/CHIP/board.h. Cycles of the instructions: Microchip DS40002198 (AVR instruction set manual), core AVRe+: value from memory. Any loop without a look in it is an error: its length could not be bounded.
"""
import pathlib
import re
import subprocess
import sys
from typing import NamedTuple

SOURCE = pathlib.Path(__file__).resolve().parents[2] / "src" / "firmware"


class Chip(NamedTuple):
    """Where a chip differs: registers as avr-objdump writes them, cycles of what pushes its program counter."""
    first_port: tuple[str, ...]  # the instruction that reads the first port of a look
    stops: tuple[str, ...]  # that which reads the last one, with the stop inputs
    idle: tuple[str, ...]  # that which takes the last lines to idle; in compiled code without its register
    call: int
    rcall: int
    ret: int


CHIPS = {
    # PINA, PINL, PORTA; program counter of 22 bits
    "atmega2560": Chip(first_port=("in", "r18", "0x00"), stops=("lds", "0x0109"), idle=("out", "0x02", "r13"), call=5, rcall=4, ret=5),
    # PIND, PINB, PORTB; 16 bits
    "atmega328p": Chip(first_port=("in", "r18", "0x09"), stops=("in", "0x03"), idle=("out", "0x05", "r7"), call=4, rcall=3, ret=4),
}

TCNT1L, ADCSRA, TIFR1 = "0x0084", "0x007A", "0x16"  # in the same place on both
SYNCHRONISER = 2  # cycles from a pin to its PINx bit, at most (data sheet: half to one and a half)
CONVERSION = 14 * 128  # 13 converter clocks of 128 cycles, and up to one until it begins

ONE = """adc add and andi asr bld bst clc cli clr clt com cp cpc cpi dec eor in inc ldi lsl lsr mov movw neg nop or ori out
rol ror sbc sbci sec sei set sub subi swap tst wdr cln sbr cbr ser""".split()
TWO = "adiw cbi ld ldd lds mul pop push sbi sbiw st std sts rjmp".split()
CYCLES = {**dict.fromkeys(ONE, 1), **dict.fromkeys(TWO, 2), "jmp": 3, "lpm": 3, "elpm": 3}
SKIPS = {"cpse", "sbic", "sbis", "sbrc", "sbrs"}


class Program:
    def __init__(self, elf, chip):
        self.cycles = {**CYCLES, "call": chip.call, "rcall": chip.rcall, "ret": chip.ret}
        text = subprocess.run(["avr-objdump", "-d", "--no-show-raw-insn", elf], check=True, capture_output=True, text=True).stdout
        raw = subprocess.run(["avr-objdump", "-t", elf], check=True, capture_output=True, text=True).stdout
        symbols = re.findall(r"^(\w+) .* \.text\s+(\w+) (\S+)$", raw, re.M)
        self.labels = {name: int(start, 16) for start, _, name in symbols}
        self.sizes = {name: int(size, 16) for _, size, name in symbols}
        self.code = {}
        addresses = []
        for m in re.finditer(r"^\s+([0-9a-f]+):\t(\w+)[ \t]*([^;\n]*)", text, re.M):
            address = int(m[1], 16)
            self.code[address] = (m[2], [o.strip() for o in m[3].split(",")])
            addresses.append(address)
        self.next = dict(zip(addresses, addresses[1:]))

    def target(self, address, operand):
        return address + 2 + int(operand[1:]) if operand.startswith(".") else int(operand, 16)

    def steps(self, node):
        """The nodes that may follow, with the cycles up to them. A node is an address and the addresses to return to."""
        address, returns = node
        name, operands = self.code[address]
        after = self.next[address]
        if name in SKIPS:
            skipped = self.next[after]
            return [((after, returns), 1), ((skipped, returns), 1 + (skipped - after) // 2)]
        if name.startswith("br"):
            return [((after, returns), 1), ((self.target(address, operands[-1]), returns), 2)]
        cost = self.cycles[name]
        if name in ("rjmp", "jmp"):
            return [((self.target(address, operands[0]), returns), cost)]
        if name in ("call", "rcall"):
            return [((self.target(address, operands[0]), returns + (after,)), cost)]
        if name == "ret":
            return [((returns[-1], returns[:-1]), cost)] if returns else []
        return [((after, returns), cost)]

    def find(self, function, name, *operands):
        """Addresses of the instructions of a function that have this name and all these operands."""
        start = self.labels[function]
        return [a for a, (n, o) in self.code.items()
                if start <= a < start + self.sizes[function] and n == name and set(operands) <= set(o)]

    def calls(self, function, callee):
        return [a for name in ("call", "rcall") for a in self.find(function, name)
                if self.target(a, self.code[a][1][0]) == self.labels[callee]]

    def lengths(self, start, ends, banned=()):
        """Shortest and longest time from the end of `start` to the end of any instruction in `ends`, by paths that avoid
        the labels or addresses in `banned`; `start` is a node."""
        stops = {self.labels.get(b, b) for b in banned}
        memo, open_nodes = {}, set()

        def visit(node):
            if node in memo:
                return memo[node]
            if node in open_nodes:
                raise SystemExit(f"a loop without a look goes through {node[0]:#x}")
            open_nodes.add(node)
            found = []
            for following, cost in self.steps(node):
                if following[0] in stops:
                    continue
                if following[0] in ends:
                    found.append((cost + own_cost(following), cost + own_cost(following)))
                elif (rest := visit(following)):
                    found.append((cost + rest[0], cost + rest[1]))
            open_nodes.discard(node)
            memo[node] = (min(f[0] for f in found), max(f[1] for f in found)) if found else None
            return memo[node]

        def own_cost(node):
            return max(cost for _, cost in self.steps(node)) if self.steps(node) else 0

        first = [(following, cost) for following, cost in self.steps(start)]
        own = max(cost for _, cost in first)
        result = []
        for following, cost in first:
            if following[0] in stops:
                continue
            inner = (own_cost(following),) * 2 if following[0] in ends else visit(following)
            if inner:
                result.append((cost - own + inner[0], cost - own + inner[1]))
        return (min(r[0] for r in result), max(r[1] for r in result)) if result else None


def numbers(path):
    return {m[1]: int(m[2]) for m in re.finditer(r"#define (\w+) (\d+)U?L?\b", path.read_text())}


def check(name, elf):
    """Prints what was counted for one chip; returns how many figures hold and how many do not."""
    chip = CHIPS[name]
    program = Program(elf, chip)
    board = {figure.removeprefix("BOARD_"): value for figure, value in numbers(SOURCE / name / "board.h").items()}
    own = numbers(SOURCE / name / "chip.h")
    gap_tail, stamp_offset = own["GAP_TAIL"], own["STAMP_OFFSET"]
    label = program.labels
    loop, measuring = "burst_loop_run", "burst_measure"
    first_look, look, look_after_gap = sorted(looks := program.find(loop, *chip.stops))
    measure = program.find(measuring, *chip.stops)
    # burst_measure is entered by `call` from one place: nodes inside it know where to return to.
    call, = program.calls(loop, measuring)
    inside = (program.next[call],)
    every_look = set(looks) | set(measure)
    plain = {look, first_look}

    def between(start, ends, *banned):
        length = program.lengths(start, ends, banned)
        if length is None:
            raise SystemExit(f"no path from {start[0]:#x}: the labels or the code have changed")
        return length

    turn = between((look, ()), plain, "changed", "step", "housekeeping_due")
    recorded = between((look, ()), plain, "step", "housekeeping_due", "stopped")
    stepped = between((look, ()), plain, "changed", "housekeeping_due", "measure")
    kept = between((look, ()), plain, "changed", "step")
    all_at_once = between((look, ()), plain, "measure", "stopped")
    skew = max(between((a, ()), set(looks))[1] for a in program.find(loop, *chip.first_port))
    to_poll = between((look, ()), {label["poll"]}, "changed")[1]
    stamps = [between((l, ()), set(program.find(loop, "lds", TCNT1L)), "poll") for l in looks]

    # Behind a gap.
    after_gap = between((look_after_gap, ()), plain, "step", "housekeeping_due", "stopped_after_gap")
    after_gap_unchanged = between((look_after_gap, ()), plain, "step", "housekeeping_due", "stopped_after_gap", "record_after_gap")
    overflow_check, = (a for a in program.find(loop, "sbis", TIFR1) if a > label["go_on_after_gap"])
    overflow_age = between((overflow_check, ()), {look_after_gap})[1]
    clock, = program.find("burst_ticks", "lds", TCNT1L)
    last_call = max(program.calls(measuring, "burst_ticks"))
    tail = between((clock, inside + (program.next[last_call],)), {look_after_gap})

    # Stop inputs: the longest time between two looks at them, and from a look to the lines.
    gaps = [between((l, ()), every_look)[1] for l in looks] + [between((m, inside), every_look)[1] for m in measure]
    idle_outs = set(program.find(loop, *chip.idle))
    to_idle = max(between((l, ()), idle_outs, "poll", "measure", "after_gap", "look_after_gap")[1] for l in looks)
    idle_outs_measuring = set(program.find(measuring, *chip.idle[:2]))
    to_idle_measuring = max(between((m, inside), idle_outs_measuring, *measure, *inside)[1] for m in measure)
    stop_bound = max(gaps) + max(to_idle, to_idle_measuring) + SYNCHRONISER
    host_bound = board["HOUSEKEEPING_PERIOD"] + max(gaps) + between((label["poll"], ()), {label["host_byte"]}, "look", "step")[1]

    # A MEASURE of one conversion, from its instant to the first look behind it.
    late = recorded[1] + kept[1] - turn[1]
    to_start = between((label["poll"], ()), set(program.find(measuring, "sts", ADCSRA)), "look")[1]
    waiting = max(between((m, inside), set(measure), *inside)[1] for m in measure)
    to_look = max(between((m, inside), {look_after_gap}, *measure)[1] for m in measure)
    sample = late + to_start + CONVERSION + waiting + to_look

    rows = [
        # what, counted, promised, must be equal
        ("look_ticks, longest", turn[1], board["LOOK_TICKS"], True),
        ("look_ticks, shortest", turn[0], board["LOOK_TICKS"], True),
        ("record_ticks", max(recorded[1], after_gap[1]) - turn[1], board["RECORD_TICKS"], True),
        ("an overflow left over from a gap", overflow_age, board["HOUSEKEEPING_TICKS"], False),
        ("end of a gap, shortest way to the first look", tail[0], gap_tail + 1, True),
        ("end of a gap, longest way to the second look", tail[1] - gap_tail + after_gap_unchanged[1],
         board["LOOK_TICKS"] + board["RECORD_TICKS"], False),
        ("housekeeping_ticks", max(kept[1], stepped[1]) - to_poll, board["HOUSEKEEPING_TICKS"], True),
        ("all between two looks", all_at_once[1],
         board["LOOK_TICKS"] + board["RECORD_TICKS"] + 2 * board["HOUSEKEEPING_TICKS"], False),
        ("skew_ticks", skew + SYNCHRONISER, board["SKEW_TICKS"], True),
        ("stop_bound", stop_bound, board["STOP_BOUND"], False),
        ("host_bound", host_bound, board["HOST_BOUND"], False),
        ("sample_ticks", sample, board["SAMPLE_TICKS"], False),
        ("stamp offset, shortest", min(s[0] for s in stamps), stamp_offset, True),
        ("stamp offset, longest", max(s[1] for s in stamps), stamp_offset, True),
    ]
    print(f"{name}: a turn {turn[1]}, with a record {recorded[1]}, with housekeeping {kept[1]}, with a step {stepped[0]}..{stepped[1]}, "
          f"all together {all_at_once[1]}")
    print(f"from a look to the poll {to_poll}; to all lines idle {to_idle}, measuring {to_idle_measuring}; "
          f"longest time between two looks at the stop inputs {max(gaps)}")
    failed = 0
    for what, counted, promised, equal in rows:
        good = counted == promised if equal else counted <= promised
        failed += not good
        print(f"{'ok  ' if good else 'FAIL'} {what}: counted {counted}, promised {promised}")
    return len(rows) - failed, failed


def main():
    words = sys.argv[1:]
    counts = [check(name, elf) for name, elf in zip(words[::2], words[1::2], strict=True)]
    passed, failed = (sum(column) for column in zip(*counts))
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


if __name__ == "__main__":
    main()
