from termbase.languages.keys import Found, KeyKind, headwords_for, index_of


def test_what_is_found_comes_in_the_order_of_how_it_was_found() -> None:
    look_up = index_of(["llyn", "glyn", "lyn", "lŷn", "lyn teg", "cwm"], "cy")
    assert headwords_for("lyn", "cy", look_up) == (
        Found("lyn", KeyKind.FORM),
        Found("lŷn", KeyKind.SPELLING),
        Found("llyn", KeyKind.MUTATED, "soft, ll > l"),
        Found("glyn", KeyKind.MUTATED, "soft, g > ∅"),
        Found("lyn teg", KeyKind.WORD),
    )


def test_a_headword_found_in_two_ways_is_given_once_at_its_best() -> None:
    look_up = index_of(["back-heel", "back heel"], "en")
    assert headwords_for("back heel", "en", look_up) == (
        Found("back heel", KeyKind.FORM),
        Found("back-heel", KeyKind.SPELLING),
    )


def test_equals_come_in_alphabetical_order() -> None:
    look_up = index_of(["chwith", "cam", "cwm"], "cy")
    assert headwords_for("zzz", "cy", look_up) == ()
    names = index_of(["trip chwith", "trip cam", "trip dde"], "cy")
    assert [found.headword for found in headwords_for("trip", "cy", names)] == [
        "trip cam",
        "trip chwith",
        "trip dde",
    ]
