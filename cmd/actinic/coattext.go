package main

// coatLong is the help of 'coat'.
const coatLong = `Says what to measure out for a number of prints: millilitres and drops of each
stock solution, for one print and in all; how to make the stocks up; what to
have in the cupboard; and, before any quantity, which chemicals must not meet.
Every figure stands with its source. It counts the sensitiser; developer,
clearing and fixing baths are on the process card: 'actinic process show P'.

Several --process make one sheet for one bench: pairs that must not meet are
looked for across all of them, and orders are added up.

How it is counted:
  coating   area x coverage, once for each coat. A layer that is laid once
            (salting) stays one whatever --coats says.
  loss      the share of what is mixed that never reaches the paper: mixed =
            coating / (1 - loss), so 15% mixes 1.18 times the coating. What is
            floated or poured has none.
  drops     ml x drops for a ml, to the nearest drop. Count yours in 2.0 ml.
  % w/v     grams in 100 ml of the finished solution: made UP TO the volume.
  hydrates  grams of another form = grams x its molar mass / that on the recipe.
  cost      what is used, not what is ordered. A good print costs
            the print / (1 - rejects).

--contrast takes a setting of the process by name; without it the sheet lists
them. Where the setting is a number it is the exposure scale wanted, known for
palladium with dichromate in the developer.

PRICES is CSV with the columns item, price, amount, unit (g, kg, mg, ml, l or
print) and, if you like, currency (any word). An item is the name of a stock
solution (by ml: it stands for what is in it), of a chemical, or anything priced
by the print:
    item,price,amount,unit,currency
    palladium,300,100,ml,EUR
    paper,1.50,1,print,EUR

--recipes reads your own recipes, in the form of the built-in ones;
--write-recipe writes one to start from. In short:
    {"format": "actinic recipes", "version": 1,
     "recipes": [{"id": "my_iron", "process": "kallitype", "name": "weaker",
       "layers": [{"name": "sensitiser", "solutions": [
         {"name": "iron", "parts": 1, "sources": [], "contents": [
           {"chemical": "fe_oxalate", "grams_per_100ml": 15, "sources": []}]},
         {"name": "silver nitrate", "parts": 1, "sources": [], "contents": [
           {"chemical": "agno3", "grams_per_100ml": 10, "sources": []}]}]}],
       "notes": []}]}
  chemical   its name, CAS number or id, as on a process card; for anything else
             give a "name", and the sheet says that its hazards are not on file
  parts      by volume in its layer
  strength   "grams_per_100ml" is per cent w/v; "ml_per_100ml" is for a liquid;
             "grains_per_oz" with "ounce": "imperial" or "us" for an old recipe
  from_percent   it is bought as a solution of this strength, and measured in ml
  formula, form, other_forms   correct for hydrates: PdCl2.2H2O
  usual      {"low", "high"} in the same unit
  layer      "once": true, "method": "floated" or "poured", "coating_ml_per_m2"
  baths      solutions of which only the strength is given
  settings   contrast: {"name", "parts": {SOLUTION: PARTS}, "effect"}
  sources    keys of sources on file, or {"key", "kind", "citation"}; none means
             from your file
A process of your own is any new name with "coating_ml_8x10in": {"value": 3} in
its recipe. "processes", "chemicals", "sources" and "incompatibilities" may
stand beside "recipes", each entry in the form that 'actinic --json process
show' prints. Own recipes come first, and take the place of a built-in one with
the same id.

With --json: {"coatings": [{"process", "recipe", "area_m2", "lines": [{"layer",
"solution", "parts", "ml_per_print", "drops_per_print", "ml_in_all"}], "layers",
"stocks": [{"solution", "needed_ml", "make_ml", "weights": [{"name",
"percent_wv", "grams", "other_forms"}]}], "baths", "orders", "contrast",
"contrast_settings", "cost", "sources", ...}], "incompatible", "orders",
"hazards", "not_on_file", "cautions"}.`
