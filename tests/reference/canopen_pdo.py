#!/usr/bin/env python3
"""Process data objects packed by the PyPI package canopen, unpacked by us.

usage: python3 -m pip install canopen==2.4.1
       python3 tests/reference/canopen_pdo.py [--freeze]

Random mappings are written as EDS files. canopen reads each, packs random values into the
PDO, and gives the bytes; `can_kit pdo` unpacks them, once by the EDS file and once by the
same mapping written into the machine file. Values, objects and identifiers must be equal.
`--freeze` prints the lines of `agent/tests/canopen.rs`.

canopen packs a part of a byte only within that byte, so the mappings have no such object
over the end of a byte.
"""

import io
import os
import pathlib
import random
import struct
import subprocess
import sys
import tempfile

import canopen

TOP = pathlib.Path(__file__).resolve().parents[2]
# Type in the machine file, data type of CiA 301, bits.
WHOLE = [
    ("i8", 2, 8), ("i16", 3, 16), ("i32", 4, 32), ("u8", 5, 8), ("u16", 6, 16), ("u32", 7, 32),
    ("f32", 8, 32), ("i24", 0x10, 24), ("f64", 0x11, 64), ("i40", 0x12, 40), ("i48", 0x13, 48),
    ("i56", 0x14, 56), ("i64", 0x15, 64), ("u24", 0x16, 24), ("u40", 0x18, 40),
    ("u48", 0x19, 48), ("u56", 0x1A, 56), ("u64", 0x1B, 64),
]
ROUNDS = 300


def mapping(rng):
    """Types, data types and bits of one PDO of at most 64 bits."""
    objects, left = [], 64
    while left and (not objects or rng.random() < 0.85):
        if rng.random() < 0.25:
            # One byte in parts.
            room = 8
            while room:
                bits = rng.randint(1, room)
                single = bits == 1 and rng.random() < 0.5
                objects.append(("bool", 1, 1) if single else (f"u{bits}", 5, bits))
                room -= bits
            left -= 8
        else:
            kind = rng.choice([kind for kind in WHOLE if kind[2] <= left])
            objects.append(kind)
            left -= kind[2]
    return objects


def eds(objects, node, number, rng):
    """The file, index and sub-index of each object, and the identifier."""
    lines = ["[DeviceInfo]", "ProductName=made up", "[Comments]", "Lines=0"]
    names = []
    for place, (_, code, _) in enumerate(objects):
        index = 0x2000 + 16 * place + rng.randrange(16)
        names.append((index, 0))
        lines += [f"[{index:X}]", f"ParameterName=object {place}", "ObjectType=0x7",
                  f"DataType=0x{code:04X}", "AccessType=rw", "PDOMapping=1"]
    com, maps = 0x1800 + number - 1, 0x1A00 + number - 1
    own = rng.random() < 0.5
    cob_id = rng.randrange(0x181, 0x580) if own else 0x80 + 0x100 * number + node
    text = f"0x{cob_id:X}" if own else f"$NODEID+0x{cob_id - node:X}"
    lines += [f"[{com:X}]", "ParameterName=communication", "ObjectType=0x9", "SubNumber=3"]
    for sub, code, value in ((0, 5, "2"), (1, 7, text), (2, 5, "255")):
        lines += [f"[{com:X}sub{sub}]", f"ParameterName=c{sub}", "ObjectType=0x7",
                  f"DataType=0x{code:04X}", "AccessType=rw", f"DefaultValue={value}"]
    lines += [f"[{maps:X}]", "ParameterName=mapping", "ObjectType=0x9", f"SubNumber={len(objects) + 1}",
              f"[{maps:X}sub0]", "ParameterName=count", "ObjectType=0x7", "DataType=0x0005",
              "AccessType=rw", f"DefaultValue={len(objects)}"]
    for sub, ((index, own_sub), (_, _, bits)) in enumerate(zip(names, objects), 1):
        lines += [f"[{maps:X}sub{sub:X}]", f"ParameterName=m{sub}", "ObjectType=0x7",
                  "DataType=0x0007", "AccessType=rw",
                  f"DefaultValue=0x{index << 16 | own_sub << 8 | bits:08X}"]
    return "\n".join(lines) + "\n", names, cob_id


def value(kind, bits, rng):
    if kind == "f32":
        return struct.unpack("<f", struct.pack("<f", rng.uniform(-1e6, 1e6)))[0]
    if kind == "f64":
        return rng.uniform(-1e9, 1e9)
    least, most = (-(1 << bits - 1), (1 << bits - 1) - 1) if kind[0] == "i" else (0, (1 << bits) - 1)
    return rng.choice([least, most, rng.randint(least, most)])


class Named(io.StringIO):
    """canopen tells the kind of a file by its name."""

    name = "made-up.eds"


def main():
    rng = random.Random(20261126)
    freeze = "--freeze" in sys.argv
    target = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", TOP / "target"))
    kit = target / "debug/examples/can_kit"
    if not freeze:
        subprocess.run(["cargo", "build", "--quiet", "--workspace", "--example", "can_kit"],
                       cwd=TOP, check=True)
    machine = (TOP / "agent/tests/data/machine.toml").read_text()
    compared = 0
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for round_number in range(24 if freeze else ROUNDS):
            objects = mapping(rng)
            node, number = rng.randint(1, 127), rng.randint(1, 4)
            text, names, cob_id = eds(objects, node, number, rng)
            values = [value(kind, bits, rng) for kind, _, bits in objects]
            stream = Named(text)
            dictionary = canopen.import_od(stream, node_id=node)
            remote = canopen.RemoteNode(node, dictionary)
            # Of a network it needs only the list of listeners.
            remote.associate_network(canopen.Network())
            pdo = remote.tpdo[number]
            pdo.read(from_od=True)
            assert [v.length for v in pdo.map] == [bits for _, _, bits in objects]
            for variable, wanted in zip(pdo.map, values):
                variable.raw = bool(wanted) if variable.od.data_type == 1 else wanted
            data = bytes(pdo.data)
            assert pdo.cob_id == cob_id
            if freeze:
                kinds = " ".join(kind for kind, _, _ in objects)
                wanted = " ".join(str(float(v)) for v in values)
                print(f'    ("{kinds}", "{data.hex()}", "{wanted}"),')
                continue
            (folder / "node.eds").write_text(text)
            first = f"[[pdo.object]]\nindex = {names[0][0]}\nchannel = \"speed\"\n"
            by_file = f"[[pdo]]\nnode = {node}\nnumber = {number}\neds = \"node.eds\"\n{first}"
            by_hand = f"[[pdo]]\ncob_id = 0x{cob_id:X}\n" + "".join(
                f"[[pdo.object]]\nindex = {index}\nsub = {sub}\ntype = \"{kind}\"\n"
                + ("channel = \"speed\"\n" if place == 0 else "")
                for place, ((index, sub), (kind, _, _)) in enumerate(zip(names, objects))
            )
            for pdos in (by_file, by_hand):
                (folder / "machine.toml").write_text(machine + "\n" + pdos)
                said = subprocess.run([kit, "pdo", folder / "machine.toml"], text=True, check=True,
                                      input=f"{cob_id} {data.hex()}\n", capture_output=True).stdout
                got = [part.split("=") for part in said.split()]
                wanted = [(f"{i:04X}:{s:02X}", float(v)) for (i, s), v in zip(names, values)]
                assert [(n, float(v)) for n, v in got] == wanted, f"{pdos}\n{data.hex()}: {said}"
                compared += len(wanted)
    if not freeze:
        print(f"{compared} objects of {2 * ROUNDS} PDOs equal canopen {canopen.__version__}")


if __name__ == "__main__":
    main()
