"""Invented people and codes."""

from collections.abc import Callable, Sequence

from numpy.random import Generator

# Family names are compounds made up for the purpose, so that nobody is meant.
# fmt: off
_GIVEN = (
    "Abeni", "Alva", "Amaru", "Anouk", "Ansel", "Basira", "Bram", "Calla", "Cyrus",
    "Dagny", "Davor", "Elio", "Emeka", "Esme", "Farid", "Freya", "Goran", "Hana",
    "Ilse", "Imani", "Ivo", "Jora", "Kaito", "Katya", "Leif", "Linh", "Mateo", "Mirela",
    "Nadim", "Noor", "Odile", "Oskar", "Priya", "Quill", "Rafi", "Runa", "Sanna",
    "Tariq", "Tova", "Umi", "Vesna", "Wanjiru", "Yara", "Zeno",
)
_FAMILY_STARTS = (
    "Alder", "Birch", "Cobble", "Dapple", "Ember", "Fallow", "Gorse", "Hazel",
    "Juniper", "Kettle",
)
_FAMILY_ENDS = (
    "brack", "combe", "dell", "firth", "garth", "holt", "mere", "ness", "quill", "wick",
)
# fmt: on

#: Letters and digits that are not taken for one another in handwriting.
CODE_ALPHABET = "ACDEFGHJKMNPQRTUVWXY34679"
_CODE_LENGTH = 5

VialCode = Callable[[Generator], str]


def invent_people(rng: Generator, count: int) -> list[str]:
    """Invent people's names, all different as long as the names last (4 400)."""
    families = [start + end for start in _FAMILY_STARTS for end in _FAMILY_ENDS]
    everyone = [f"{given} {family}" for given in _GIVEN for family in families]
    shuffled = [everyone[i] for i in rng.permutation(len(everyone))]
    rounds = -(-count // len(shuffled))
    return (shuffled * rounds)[:count]


def random_code(rng: Generator) -> str:
    """Return a code of five characters that are hard to misread."""
    return "".join(rng.choice(list(CODE_ALPHABET), _CODE_LENGTH))


def distinct_codes(rng: Generator, count: int, make: VialCode) -> Sequence[str]:
    """Make codes until there are enough different ones.

    Raises
    ------
    ValueError
        If the maker keeps repeating itself.
    """
    codes: dict[str, None] = {}
    for _ in range(100 + 20 * count):
        if len(codes) == count:
            return list(codes)
        codes[make(rng)] = None
    message = f"Only {len(codes)} different vial codes of {count}; make them longer."
    raise ValueError(message)
