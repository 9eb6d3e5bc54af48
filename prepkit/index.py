"""Name to module, family and one line: all that --help needs; the versions of the formats.

A version goes up by one when something that a program could rely on changes its name, its meaning
or is taken away; what is only added leaves it.
"""

from __future__ import annotations

# ---- name to module, family and one line ----

CALCULATORS: dict[str, tuple[str, str, str]] = {
    "oleo": ("oleo", "syrup", "Peel and sugar, or essential oil in syrup: yield, sugar left, oil."),
    "cordial": ("cordial", "syrup", "Syrups and cordials to a sugar, acidity and strength."),
    "infuse": ("infuse", "syrup", "Plants in spirit: strength, yield, liquid lost in the plants."),
    "coffee": ("coffee", "syrup", "Espresso, filter, cold brew, tea: strength, yield, caffeine."),
    "fat-wash": ("fat_wash", "syrup", "Fat and spirit: strength, yield, how the fat sets."),
    "clarify": ("clarify", "syrup", "Milk punch and other ways to clear a drink: yield, pH, dose."),
    "reduce": ("reduce", "syrup", "Water to boil or freeze off to a Brix, volume or weight."),
    "acid-solution": ("acid_solution", "acid", "Acid stocks, single or blended, by strength."),
    "acid-adjust": ("acid_adjust", "acid", "A juice or drink to an acidity, or stretched."),
    "acid-match": ("acid_match", "acid", "The acids on the shelf that match a juice."),
    "dose": ("dose", "acid", "Drops, dashes or spoons of a stock into a serve or batch."),
    "salt": ("salt", "acid", "Saline and umami stocks: strength, drops, sodium in a serve."),
    "foam": ("foam", "gas", "Foamer by dose, liquid by its window, how much foam, how long."),
    "float": ("float_check", "gas", "Can a foam or bubble rise in air: with which gas, how dry."),
    "cloud": ("cloud", "gas", "Smoke, mist, fog, balloons: what is breathed, by whom, what else."),
    "siphon": ("siphon", "gas", "A charged vessel: peak, settled pressure, gas, verdict."),
    "carbonate": ("carbonate", "gas", "Fizz in a keg or bottle: regulator, bound, time, line."),
    "compose": ("compose", "drink", "From the drink that is wanted to amounts from the shelf."),
    "blend": ("blend", "drink", "Put parts together: strength, sugar, acidity, volume."),
    "dilute": ("dilute", "drink", "Down to a strength, a sugar level or both; by mass."),
    "chill": ("chill", "drink", "Ice and melt to a temperature, the end of shaking, bottles."),
    "freeze": ("freeze", "drink", "Freezer bottles, slush, frozen tubs: ice, strength, room."),
    "warm": ("warm", "drink", "Hot and cold parts and the cup: how hot, and how long."),
    "layer": ("layer", "drink", "Layers by density, and how to make a cream float."),
    "window": ("window", "drink", "From pour to last sip: the minutes in which it is as wanted."),
    "serve": ("serve", "drink", "One serve: alcohol units, caffeine, sugar, allergens, cost."),
    "reading": ("reading", "check", "Instrument readings to sugar, strength, coffee extraction."),
    "correct": ("correct", "check", "The least to add to bring a measured batch to its targets."),
    "keep": ("keep", "check", "pH, water activity and dates against the food codes, in words."),
    "room": ("room", "room", "Gas set free in a room: oxygen, limits, how soon, how long."),
    "cryogen": ("cryogen", "room", "Liquid nitrogen and dry ice: a range, the gas, the room."),
}
WORKFLOWS: dict[str, tuple[str, str]] = {
    "plan": (
        "prepkit.workflows.plan_command.command",
        "From a recipe file: weigh-outs, yields, vessels, chargers, cautions for any number of "
        "serves.",
    ),
    "routine": (
        "prepkit.workflows.plan_command.routine_command",
        "Steps in seconds: in time or over, who does what, each drink in its window.",
    ),
    "stock": (
        "prepkit.workflows.stock_command.command",
        "The stock of the house: add, take, count, discard, fill bottles, undo.",
    ),
    "card": (
        "prepkit.workflows.card_command",
        "A page to print: verdict first, then the rest.",
    ),
    "label": (
        "prepkit.workflows.label_command.label_command",
        "The label of a bottle, with its last day.",
    ),
    "bench": (
        "prepkit.workflows.bench_command.command",
        "Run charts, your own losses and checks of instruments, from the ledger.",
    ),
    "history": (
        "prepkit.history.command",
        "A recipe's versions: kept with a note, compared in words and figures, back to any.",
    ),
    "drill": (
        "prepkit.drill.command.command",
        "Papers with an answer key; filled-in papers marked.",
    ),
    "lesson": (
        "prepkit.lesson.command",
        "A lesson to print: plan, sheets, test, keys, for your own vessel and room.",
    ),
    "ladder": (
        "prepkit.tasting.command.ladder_command",
        "Small glasses that step acidity, sugar, strength: what to weigh.",
    ),
    "tasting": (
        "prepkit.tasting.command.command",
        "Blind tastings: which test, how many tasters, sheets, the result.",
    ),
    "page": ("prepkit.page.command", "The same answers in a browser, also on a phone."),
    "pantry": (
        "prepkit.workflows.pantry_command.command",
        "Ingredients: their names and composition.",
    ),
    "cautions": (
        "prepkit.workflows.reference.cautions_command",
        "Sheets for the wall, by kind of danger.",
    ),
    "safety": (
        "prepkit.workflows.reference.safety_command",
        "Every caution with its limit and source.",
    ),
    "schema": (
        "prepkit.workflows.reference.schema_command",
        "The form of the JSON, as a JSON Schema.",
    ),
    "sources": (
        "prepkit.workflows.reference.sources_command",
        "The sources of the figures, and how obtained.",
    ),
}
FAMILIES = {
    "syrup": "syrups and infusions",
    "acid": "acids",
    "gas": "foam and gas",
    "drink": "the drink",
    "check": "checks",
    "room": "the room",
}


# ---- the versions of what prepkit reads and prints for other programs, and the schemas of it ----

VERSIONS = {
    "answer": 1,  # --json of a calculator
    "error": 1,  # --json of what was refused
    "label": 2,  # label --json; 2: name is the title, item the id
    "plan": 2,  # plan --json; 2: what is said at length moved from action to more
    "recipe": 1,  # recipe files
    "house": 1,  # house files
    "readings": 1,  # files of what was measured
    "tasting": 1,  # tasting files, and tasting --json
    "batch": 2,  # files of what was done of a batch; 1 were ticks, named by a number of serves
    "drill": 1,  # drill --format json, and the answers that it marks
}
