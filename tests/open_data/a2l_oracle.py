"""A second, small reader of ASAM MCD-2 MC files, written apart from the program: it lays parameters out in memory, so that
the test knows what the program should read. It understands what the open descriptions use and says so where it does not.
Sources: ASAM MCD-2 MC 1.6; ROW_DIR as the first index running fastest: struct comments of the open descriptions
("matrix float[4][8]" has MATRIX_DIM 8 4)."""
import re
import struct
from dataclasses import dataclass, field

TOKEN = re.compile(r'/\*.*?\*/|//[^\n]*|"((?:[^"\\]|\\.|"")*)"|([^\s"]+)', re.S)
FORMATS = {"UBYTE": "B", "SBYTE": "b", "UWORD": "H", "SWORD": "h", "ULONG": "I", "SLONG": "i", "A_UINT64": "Q",
           "A_INT64": "q", "FLOAT32_IEEE": "f", "FLOAT64_IEEE": "d", "BYTE": "B", "WORD": "H", "LONG": "I"}
ALIGNMENTS = {"B": "BYTE", "b": "BYTE", "H": "WORD", "h": "WORD", "I": "LONG", "i": "LONG", "Q": "INT64", "q": "INT64",
              "f": "FLOAT32_IEEE", "d": "FLOAT64_IEEE"}
AXES = {"X": 0, "Y": 1, "Z": 2}


class NotUnderstood(Exception):
    """The oracle has no opinion."""


@dataclass
class Block:
    kind: str
    words: list = field(default_factory=list)
    children: list = field(default_factory=list)

    def all(self, kind):
        return [child for child in self.children if child.kind == kind]

    def after(self, word, default=None):
        return self.words[self.words.index(word) + 1] if word in self.words else default


def tree_of(text):
    """The whole file as nested blocks; strings stand among the words without their quotes."""
    stack, begins, ends = [Block("FILE")], False, False
    for found in TOKEN.finditer(text):
        if found[0].startswith(("/*", "//")):
            continue
        word = found[2] if found[2] is not None else found[1]
        if begins:
            stack[-1].children.append(Block(word))
            stack.append(stack[-1].children[-1])
        elif ends:
            assert stack.pop().kind == word, word
        elif not (found[2] in ("/begin", "/end")):
            stack[-1].words.append(word)
        begins, ends = found[2] == "/begin", found[2] == "/end"
    return stack[0]


@dataclass
class Axis:
    kind: str
    conversion: str
    most: int
    shared: str = ""
    fixed: list = None


@dataclass
class Parameter:
    name: str
    kind: str
    address: int
    layout: str
    conversion: str
    axes: list
    dimensions: list
    in_image: bool = True
    mask: int = None
    order: str = "<"
    unit: str = None   # the parameter's own


@dataclass
class Placed:
    """Where a parameter's bytes lie: (address, struct format) of every cell and point, by index, first axis first."""
    cells: list
    points: dict   # axis -> [(address, format)]
    counts: list   # [(address, format, number to be stored)]


def whole(word):
    return int(word, 0)


def fixed_points(block):
    for listed in block.all("FIX_AXIS_PAR_LIST"):
        return [float(word) for word in listed.words]
    for keyword, point in (("FIX_AXIS_PAR_DIST", lambda o, s, i: o + i * s),
                           ("FIX_AXIS_PAR", lambda o, s, i: o + i * 2 ** s)):
        if keyword in block.words:
            at = block.words.index(keyword)
            offset, step, count = (whole(word) for word in block.words[at + 1:at + 4])
            return [point(offset, step, i) for i in range(count)]
    return None


def axis_of(block):
    kind, _, conversion, most = block.words[:4]
    shared = block.after("AXIS_PTS_REF", block.after("CURVE_AXIS_REF", ""))
    return Axis(kind, conversion, whole(most), shared, fixed_points(block))


def dimensions_of(block):
    if "MATRIX_DIM" in block.words:
        sizes = []
        for word in block.words[block.words.index("MATRIX_DIM") + 1:]:
            if not re.fullmatch(r"\d+", word):
                break
            sizes.append(int(word))
        return sizes
    return [int(block.after("NUMBER"))] if "NUMBER" in block.words else []


class Description:
    """What one file says of its parameters, in the order of the file; INSTANCE structures taken apart."""

    def __init__(self, text):
        self.module = tree_of(text).all("PROJECT")[0].all("MODULE")[0]
        common = self.module.all("MOD_COMMON")
        self.common = common[0] if common else Block("MOD_COMMON")
        self.layouts = {b.words[0]: b.words for b in self.module.all("RECORD_LAYOUT")}
        self.conversions = {b.words[0]: b for b in self.module.all("COMPU_METHOD")}
        self.tables = {b.words[0]: b for b in self.module.all("COMPU_TAB")}
        self.parameters = [self.axis_points(b) for b in self.module.all("AXIS_PTS")]
        self.parameters += [self.characteristic(b, b.words[0], 2, whole(b.words[3])) for b in
                            self.module.all("CHARACTERISTIC")]
        for instance in self.module.all("INSTANCE"):
            self.take_apart(instance.words[0], instance.words[2], whole(instance.words[3]), instance)
        self.by_name = {parameter.name: parameter for parameter in self.parameters}

    def order(self, block):
        word = block.after("BYTE_ORDER", self.common.after("BYTE_ORDER", "MSB_FIRST"))
        return "<" if word in ("MSB_LAST", "BIG_ENDIAN") else ">"

    def characteristic(self, block, name, at, address):
        """`at`: the index of the kind among the words; a type definition has no address after it."""
        kind = block.words[at]
        skip = 2 if block.kind == "CHARACTERISTIC" else 1
        layout, _, conversion = block.words[at + skip:at + skip + 3]
        mask = block.after("BIT_MASK")
        return Parameter(name, kind, address, layout, conversion, [axis_of(b) for b in block.all("AXIS_DESCR")],
                         dimensions_of(block), whole(block.after("ECU_ADDRESS_EXTENSION", "0")) == 0 and
                         not block.all("VIRTUAL_CHARACTERISTIC"), whole(mask) if mask else None, self.order(block),
                         block.after("PHYS_UNIT"))

    def axis_points(self, block):
        name, _, address, _, layout, _, conversion, most = block.words[:8]
        return Parameter(name, "AXIS_PTS", whole(address), layout, conversion,
                         [Axis("STD_AXIS", conversion, whole(most))], [], order=self.order(block))

    def take_apart(self, name, type_name, address, instance):
        if "MATRIX_DIM" in instance.words or whole(instance.after("ECU_ADDRESS_EXTENSION", "0")) != 0:
            return
        for structure in self.module.all("TYPEDEF_STRUCTURE"):
            if structure.words[0] == type_name:
                for part in structure.all("STRUCTURE_COMPONENT"):
                    self.take_apart(f"{name}.{part.words[0]}", part.words[1], address + whole(part.words[2]), part)
                return
        for typedef in self.module.all("TYPEDEF_CHARACTERISTIC"):
            if typedef.words[0] == type_name:
                self.parameters.append(self.characteristic(typedef, name, 2, address))
                return

    def shape(self, parameter):
        """How many cells in each direction. Shared axes have as many points as their AXIS_PTS may hold."""
        if parameter.kind in ("VAL_BLK", "ASCII"):
            return parameter.dimensions
        return [self.points_of(axis) for axis in parameter.axes]

    def points_of(self, axis):
        if axis.kind == "FIX_AXIS" and axis.fixed is not None:
            return len(axis.fixed)
        if axis.kind == "COM_AXIS":
            return self.by_name[axis.shared].axes[0].most
        if axis.kind in ("STD_AXIS", "CURVE_AXIS"):
            return axis.most
        raise NotUnderstood(axis.kind)

    def place(self, parameter):
        """The addresses of everything the record holds, counts at their greatest."""
        words, items, at = self.layouts[parameter.layout], [], 1
        lengths = {"FNC_VALUES": 5, "AXIS_PTS": 5, "NO_AXIS_PTS": 3, "SRC_ADDR": 3, "RESERVED": 3}
        while at < len(words):
            keyword, axis = re.fullmatch(r"([A-Z_]+?)(?:_([XYZ]))?", words[at]).groups()
            if keyword not in lengths:
                raise NotUnderstood(words[at])
            items.append((int(words[at + 1]), keyword, AXES.get(axis), words[at + 2:at + lengths[keyword]]))
            at += lengths[keyword]
        placed, address = Placed([], {}, []), parameter.address
        for _, keyword, axis, details in sorted(items):
            form = parameter.order + FORMATS[details[0]]
            if details[2:] not in ([], ["DIRECT"]):
                raise NotUnderstood(details[2])
            if axis is not None and axis >= len(parameter.axes):
                raise NotUnderstood(f"axis {axis} is not described")
            size = struct.calcsize(form)
            step = int(self.common.after("ALIGNMENT_" + ALIGNMENTS[form[1]], "1"))
            address += -address % step
            count = self.add(parameter, placed, keyword, axis, details, address, form)
            address += size * count
        return placed

    def add(self, parameter, placed, keyword, axis, details, address, form):
        size = struct.calcsize(form)
        if keyword == "NO_AXIS_PTS":
            placed.counts.append((address, form, parameter.axes[axis].most))
        elif keyword == "AXIS_PTS":
            run = [(address + size * i, form) for i in range(parameter.axes[axis].most)]
            placed.points[axis] = run[::-1] if details[1] == "INDEX_DECR" else run
            return len(run)
        elif keyword == "FNC_VALUES":
            shape = self.shape(parameter)
            placed.cells = [(address + size * position, form) for position in positions(shape, details[1])]
            return len(placed.cells)
        return 1

    def physical(self, name, count):
        """The value a count stands for; NotUnderstood for words and for what has no inverse."""
        if name == "NO_COMPU_METHOD":
            return count
        method = self.conversions[name]
        kind = method.words[2]
        if kind == "IDENTICAL":
            return count
        if kind == "LINEAR":
            at = method.words.index("COEFFS_LINEAR")
            return float(method.words[at + 1]) * count + float(method.words[at + 2])
        if kind == "RAT_FUNC":
            at = method.words.index("COEFFS")
            a, b, c, d, e, f = (float(word) for word in method.words[at + 1:at + 7])
            if a == 0 and d == 0 and b * f != c * e and b != count * e:
                return (count * f - c) / (b - count * e)
        if kind == "FORM":
            formula = method.all("FORMULA")[0].words[0]
            if re.fullmatch(r"[X\d+*/(). -]+", formula):
                return eval(formula, {}, {"X1": count, "X": count})  # pylint: disable=eval-used  # digits and signs only
        table = self.tables.get(method.after("COMPU_TAB_REF"))
        if table is not None and table.words[2] == kind:  # a table of another kind contradicts its method
            pairs = self.pairs(method.after("COMPU_TAB_REF"))
            if count in pairs:
                return pairs[count]
        raise NotUnderstood(f"{name}: {kind}")

    def unit(self, parameter):
        if parameter.unit is not None:
            return parameter.unit
        return "" if parameter.conversion == "NO_COMPU_METHOD" else self.conversions[parameter.conversion].words[4]

    def pairs(self, name):
        words = self.tables[name].words
        numbers = [float(word) for word in words[4:4 + 2 * int(words[3])]]
        return dict(zip(numbers[::2], numbers[1::2]))


def positions(shape, order):
    """Where in memory each cell lies, cells counted with the last direction running fastest."""
    sizes = (shape + [1, 1, 1])[:3]
    if order not in ("ROW_DIR", "COLUMN_DIR") or len(shape) > 3:
        raise NotUnderstood(order)
    nx, ny, nz = sizes
    cell = {"ROW_DIR": lambda x, y, z: (z * ny + y) * nx + x, "COLUMN_DIR": lambda x, y, z: (z * nx + x) * ny + y}[order]
    return [cell(x, y, z) for x in range(nx) for y in range(ny) for z in range(nz)]
