"""Names as gardeners type them, against the shipped table."""

import pytest

from propsched.domain.crop_table import CropTable
from propsched.files.crop_table import shipped_table


@pytest.fixture(scope="module")
def table() -> CropTable:
    return shipped_table()


FOUND = {
    "tomato": (
        "Tomato", "tomatoes", "tomatos", "TOMATOES", "tomato seeds", "tomato plants",
        "Solanum lycopersicum", "Solanum lycopersicum L.", "S. lycopersicum",
        "solanum lycopersicum 'Ailsa Craig'", "tomato 'Moneymaker'",
        "Tomato ‘Sungold’", "glasshouse tomato",
    ),
    "broad bean": ("broad beans", "Beans, broad", "bean broad", "broadbeans",
                   "Vicia faba", "fava bean", "Broad-bean", "fava", "faba beans"),
    "french bean": ("French beans", "beans, french", "dwarf bean", "haricots",
                    "Phaseolus vulgaris", "climbing bean", "pole beans",
                    "Bush beans", "green beans", "string bean", "borlotti"),
    "runner bean": ("scarlet runners", "stick beans", "Runner Beans"),
    "sweet corn": ("sweetcorn", "Sweet-corn", "maize", "corn, sweet", "Zea mays",
                   "corn on the cob"),
    "spring onion": ("scallions", "Spring Onions", "green onions", "salad onion",
                     "bunching onions"),
    "swede": ("swedes", "rutabaga", "Rutabagas", "neeps"),
    "pea": ("peas", "mangetout", "mange-tout", "sugar snaps", "snow peas",
            "garden peas"),
    "coriander": ("cilantro", "dhania"),
    "rocket": ("arugula", "roquette", "rucola"),
    "chilli": ("chillies", "chili peppers", "chiles", "jalapeño", "hot peppers"),
    "sweet pepper": ("capsicums", "bell peppers", "green pepper"),
    "cucumber": ("cukes", "gherkins"),
    "melon": ("rockmelon", "cantaloupe", "honeydew melons", "muskmelon"),
    "pumpkin": ("butternut", "butternut squashes", "winter squash"),
    "swiss chard": ("silverbeet", "silver beet", "perpetual spinach", "leaf beet"),
    "kale": ("collards", "cavolo nero", "borecole"),
    "broccoli": ("calabrese", "purple sprouting broccoli", "PSB"),
    "pak choi": ("bok choy", "bok choi", "pak choy"),
    "celeriac": ("celery root", "knob celery"),
    "radish": ("daikon", "mooli"),
    "sweet potato": ("kumara", "kumera", "sweet potatoes"),
    "okra": ("ladies fingers", "lady's fingers", "bhindi"),
    "hellebore": ("hellebores", "Lenten roses"),
    "hazel": ("hazelnuts", "cobnut", "filberts"),
    "english oak": ("oak", "acorns"),
    "seakale": ("sea kale", "sea-kale", "Crambe maritima"),
    "aubergine": ("aubergines", "eggplant", "egg plant", "Eggplants", "brinjal"),
    "courgette": ("courgettes", "zucchini", "Zucchini", "vegetable marrows"),
    "beetroot": ("beet", "beet root", "beetroots"),
    "brussels sprouts": ("brussels sprout", "Brussel sprouts", "brussel sprout"),
    "lamb's lettuce": ("lambs lettuce", "lamb’s lettuce", "corn salad", "cornsalad"),
    "potato": ("potatoes", "seed potatoes", "Solanum tuberosum", "spuds", "tatties"),
    "onion": ("onions", "Onion seed", "onion sets", "onions from sets"),
    "leek": ("leeks", "Leek"),
    "day lily": ("daylily", "day-lilies", "daylilies", "Day Lilies", "Hemerocallis"),
    "pelargonium": ("pelargoniums", "geraniums", "zonal pelargoniums"),
    "dahlia": ("dahlias", "Dahlia tubers", "Dahlia 'Bishop of Llandaff'"),
    "snapdragon": ("snapdragons", "Antirrhinum", "antirrhinum majus"),
    "japanese anemone": ("Anemone x hybrida", "Anemone × hybrida 'Honorine Jobert'",
                         "anemone, japanese"),
    "sweet pea": ("sweet peas", "Sweetpea", "Lathyrus odoratus"),
    "yew": ("yews", "Taxus baccata", "yew trees"),
    "blackcurrant": ("black currants", "blackcurrants", "Ribes nigrum"),
    "buddleja": ("buddleia", "butterfly bush", "Buddleja davidii"),
    "lettuce": ("lettuces", "Lactuca sativa", "lettuce 'Little Gem'"),
    "lady's mantle": ("ladys mantle", "Alchemilla mollis"),
}  # fmt: skip
SPELLINGS = [(typed, crop) for crop, names in FOUND.items() for typed in names]
NOT_SILENTLY = {
    # what is typed: what has to be among the offers; blank where nothing is near
    "bean": "broad bean",
    "beans": "runner bean",
    "pepper": "sweet pepper",
    "peppers": "chilli",
    "fennel": "florence fennel",
    "maple": "field maple",
    "marjoram": "oregano",
    "currant": "blackcurrant",
    "cherry": "wild cherry",
    "lily": "day lily",
    "Brassica oleracea": "kale",
    "Solanum": "tomato",
    "Primula": "cowslip",
    "tomatoe": "tomato",
    "runer bean": "runner bean",
    "japanese anenome": "japanese anemone",
    "dalia": "dahlia",
    "courgete": "courgette",
    "zuchini": "courgette",
    "lavendar": "lavender",
    "fuschia": "fuchsia",
    "hydranga": "hydrangea",
    "cabage": "cabbage",
    "cauliflour": "cauliflower",
    "antirhinum": "snapdragon",
    "delphinum": "delphinium",
    "holy": "holly",
    "tomato cherry": "tomato",
    "red onions": "onion",
    "hellibore": "hellebore",
    "xyzzy": "",
    "s": "",
    "": "",
    "plant": "",
    "'Moneymaker'": "",
}


@pytest.mark.parametrize(("typed", "crop"), SPELLINGS)
def test_a_name_as_it_is_typed_is_understood(
    typed: str, crop: str, table: CropTable
) -> None:
    assert {row.name for row in table.find(typed)} == {crop}


@pytest.mark.parametrize(("typed", "offer"), NOT_SILENTLY.items())
def test_a_name_that_may_be_several_or_none_is_only_offered(
    typed: str, offer: str, table: CropTable
) -> None:
    assert table.find(typed) == ()
    if offer:
        assert offer in table.near(typed)
    else:
        assert table.near(typed) == ()


def test_a_slip_offers_what_was_meant_first(table: CropTable) -> None:
    for typed, offer in NOT_SILENTLY.items():
        if offer and " " not in typed and table.near(typed)[0] != offer:
            assert typed in ("bean", "beans", "pepper", "peppers", "currant", "cherry",
                             "lily", "maple", "Solanum", "Primula"), typed  # fmt: skip


def test_half_a_likeness_is_not_offered(table: CropTable) -> None:
    """A swede is no sweet pea."""
    assert table.near("swedde") == ("swede",)


def test_nothing_unlike_is_offered_for_a_bean(table: CropTable) -> None:
    assert all("bean" in name for name in table.near("bean")[:4])


def test_there_are_spellings_enough() -> None:
    assert len(SPELLINGS) >= 160
    assert len(NOT_SILENTLY) >= 20


def test_every_crop_is_found_by_its_own_name(table: CropTable) -> None:
    for crop in table.crops:
        assert {row.name for row in table.find(crop.name)} == {crop.name}
