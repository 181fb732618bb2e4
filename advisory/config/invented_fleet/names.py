"""Invented names, put together by number: the same number is always called the same."""

FIRST = (
    "Alder", "Bryony", "Corin", "Damaris", "Eldric", "Fenella", "Garrick", "Hesper", "Isolde",
    "Jocasta", "Kester", "Linnet", "Merrick", "Nerys", "Osric", "Perpetua", "Quillon", "Rosamund",
    "Sorrel", "Tamsyn", "Ulric", "Verity", "Wystan", "Ysolt",
)  # fmt: skip
LAST_BEGINS = (
    "Ash", "Bram", "Corn", "Dun", "Elm", "Fern", "Gorse", "Hazel", "Ivel", "Kest", "Lark", "Marl",
    "Nettle", "Oat", "Pell", "Quern", "Rush", "Sallow", "Tarn", "Vetch", "Wick", "Yarrow",
)  # fmt: skip
LAST_ENDS = ("acre", "beck", "combe", "dyke", "field", "garth", "hurst", "lock", "mere", "wold")
MAKERS = ("Harrow Vale", "Tern Valley", "Marlgate", "Oatfield", "Querncross", "Vetch & Rush")
MODELS = ("Eight", "Ten", "Twelve", "Fourteen", "Sixteen", "Twenty")
WORKS = ("Bearings", "Engine Works", "Metal Shop", "Machine Works")


def person_name(number: int) -> str:
    """Return what an invented person is called."""
    rest, first = divmod(number, len(FIRST))
    rest, begins = divmod(rest, len(LAST_BEGINS))
    rest, ends = divmod(rest, len(LAST_ENDS))
    numeral = f" {rest + 1}" if rest else ""
    return f"{FIRST[first]} {LAST_BEGINS[begins]}{LAST_ENDS[ends]}{numeral}"


def workshop_name(number: int, seed: int) -> str:
    """Return what an invented workshop is called, no two alike."""
    rest, begins = divmod(number, len(LAST_BEGINS))
    place = f"{LAST_BEGINS[begins]}{LAST_ENDS[rest % len(LAST_ENDS)]}"
    return f"{place} {WORKS[number % len(WORKS)]} {seed}-{number + 1}"


def car_name(number: int) -> tuple[str, str]:
    """Return the maker and model of an invented car."""
    return MAKERS[number % len(MAKERS)], MODELS[number // len(MAKERS) % len(MODELS)]
