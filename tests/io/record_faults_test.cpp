// Each fault as a user sees it: place, message, code, pointer, line with its caret, and mend.
#include "io/reading.hpp"

#include <string>

#include <doctest/doctest.h>

using namespace trayworth;

namespace {

// The ordinary record with one passage changed.
struct Case {
    std::string from;
    std::string to;
    std::string said;
};

const Case cases[] = {
    {R"~("trayworth/stone/1")~", R"~("trayworth/stone/2")~",
     R"~(stone.json:2:13: error: The format is "trayworth/stone/2", and this program reads "trayworth/stone/1". [format-version]
  at /format
  2 |   "format": "trayworth/stone/2",
    |             ^
  Use the program of that version, or convert the record.
)~"},
    {R"~("B-014")~", R"~(14)~",
     R"~(stone.json:3:9: error: "id" has to be a text, not a number. [value-type]
  at /id
  3 |   "id": 14,
    |         ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~("B-014")~", R"~("")~",
     R"~(stone.json:3:9: error: The text is empty. [value-range]
  at /id
  3 |   "id": "",
    |         ^
  Write it, or leave the field out.
)~"},
    {R"~("id": "B-014",)~", R"~("id": "B-014" )~",
     R"~(stone.json:4:3: error: A comma is missing before this. [json-syntax]
  4 |   "type": "solid",
    |   ^
  Write it, or close the bracket or quote that is still open.
)~"},
    {R"~("solid")~", R"~("sollid")~",
     R"~(stone.json:4:11: error: "sollid" is not one of: solid, boulder, matrix, doublet, triplet, mosaic, synthetic, imitation. [value-unknown]
  at /type
  4 |   "type": "sollid",
    |           ^
  Did you mean "solid"?
)~"},
    {R"~("solid")~", R"~("opal")~",
     R"~(stone.json:4:11: error: "opal" is not one of: solid, boulder, matrix, doublet, triplet, mosaic, synthetic, imitation. [value-unknown]
  at /type
  4 |   "type": "opal",
    |           ^
  Use one of them.
)~"},
    {R"~("solid")~", R"~(solid)~",
     R"~(stone.json:4:11: error: The text solid stands without quotes. [json-syntax]
  4 |   "type": solid,
    |           ^
  Write "solid".
)~"},
    {R"~(["smoke"])~", R"~("smoke")~",
     R"~(stone.json:5:17: error: "treatments" has to be an array, not a text. [value-type]
  at /treatments
  5 |   "treatments": "smoke",
    |                 ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~(["smoke"])~", R"~(["smoke", ""])~",
     R"~(stone.json:5:27: error: The text is empty. [value-range]
  at /treatments/1
  5 |   "treatments": ["smoke", ""],
    |                           ^
  Write it, or leave the field out.
)~"},
    {R"~(["smoke"])~", R"~([["smoke"]])~",
     R"~(stone.json:5:18: error: An entry here has to be a text in plain words, not an array. [value-type]
  at /treatments/0
  5 |   "treatments": [["smoke"]],
    |                  ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~(["N3", "N4"])~", R"~("N10")~",
     R"~(stone.json:6:16: error: "N10" is not one of: N1, N2, N3, N4, N5, N6, N7, N8, N9. [value-unknown]
  at /body_tone
  6 |   "body_tone": "N10",
    |                ^
  Did you mean "N1"?
)~"},
    {R"~(["N3", "N4"])~", R"~(["N3", "N4", "N5"])~",
     R"~(stone.json:6:16: error: A range has two ends, and "body_tone" has 3. [value-type]
  at /body_tone
  6 |   "body_tone": ["N3", "N4", "N5"],
    |                ^
  Write [low, high], or the one grade without brackets.
)~"},
    {R"~(["N3", "N4"])~", R"~(["N4", "N3"])~",
     R"~(stone.json:6:16: error: The range runs from "N4" to "N3", backwards. [range-reversed]
  at /body_tone
  6 |   "body_tone": ["N4", "N3"],
    |                ^
  Write ["N3", "N4"].
)~"},
    {R"~(["N3", "N4"])~", R"~([3, 4])~",
     R"~(stone.json:6:16: error: "body_tone" has to be a tone "N1" to "N9", or two of them, not a number. [value-type]
  at /body_tone
  6 |   "body_tone": [3, 4],
    |                ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~("honey")~", R"~(["honey", "tan"])~",
     R"~(stone.json:7:15: error: "body_hue" has to be a text, not an array. [value-type]
  at /body_hue
  7 |   "body_hue": ["honey", "tan"],
    |               ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~("transparency")~", R"~("transparancy")~",
     R"~(stone.json:8:3: error: "transparancy" is not a field of a record. [field-unknown]
  at /transparancy
  8 |   "transparancy": ["transparent", "translucent"],
    |   ^
  Did you mean "transparency"?
)~"},
    {R"~("transparent",)~", R"~("clear",)~",
     R"~(stone.json:8:19: error: "clear" is not one of: transparent, translucent, opaque. [value-unknown]
  at /transparency
  8 |   "transparency": ["clear", "translucent"],
    |                   ^
  Use one of them.
)~"},
    {R"~("hydrophane": false)~", R"~("hydrophane": "no")~",
     R"~(stone.json:9:17: error: "hydrophane" has to be true or false, not a text. [value-type]
  at /hydrophane
  9 |   "hydrophane": "no",
    |                 ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~("hydrophane": false)~", R"~("hydrophane": False)~",
     R"~(stone.json:9:17: error: False is written in small letters. [json-syntax]
  9 |   "hydrophane": False,
    |                 ^
  Write false.
)~"},
    {R"~([2.5, 3])~", R"~([2,5, 3])~",
     R"~(stone.json:10:27: error: A range has two ends, and "grade" has 3. [value-type]
  at /brightness/grade
  10 |   "brightness": {"grade": [2,5, 3], "steps": 5, "brightest": 5},
     |                           ^
  Write [low, high], with a point in decimals and not a comma: 2.5.
)~"},
    {R"~([2.5, 3])~", R"~(0)~",
     R"~(stone.json:10:27: error: A grade on a scale of 5 lies between 1 and 5. [value-range]
  at /brightness/grade
  10 |   "brightness": {"grade": 0, "steps": 5, "brightest": 5},
     |                           ^
  Grade 0 says that there is no play-of-colour: write "play_of_colour": null and
  "brightness": null.
)~"},
    {R"~([2.5, 3])~", R"~([2.5, 6])~",
     R"~(stone.json:10:27: error: A grade on a scale of 5 lies between 1 and 5. [value-range]
  at /brightness/grade
  10 |   "brightness": {"grade": [2.5, 6], "steps": 5, "brightest": 5},
     |                           ^
  Correct the grade, or the number of steps of its scale.
)~"},
    {R"~([2.5, 3])~", R"~([3, 2.5])~",
     R"~(stone.json:10:27: error: The range runs from 3 to 2.5, backwards. [range-reversed]
  at /brightness/grade
  10 |   "brightness": {"grade": [3, 2.5], "steps": 5, "brightest": 5},
     |                           ^
  Write [2.5, 3].
)~"},
    {R"~([2.5, 3])~", R"~([[2.5], 3])~",
     R"~(stone.json:10:27: error: The ends of a range are not an array. [value-type]
  at /brightness/grade
  10 |   "brightness": {"grade": [[2.5], 3], "steps": 5, "brightest": 5},
     |                           ^
  Write [low, high], or the one grade without brackets.
)~"},
    {R"~("steps": 5,)~", R"~()~",
     R"~(stone.json:10:17: error: A brightness grade means nothing without the number of steps of its scale. [brightness-scale]
  at /brightness
  10 |   "brightness": {"grade": [2.5, 3],  "brightest": 5},
     |                 ^
  State "steps" (how many grades) and "brightest" (which grade is the
  brightest), here or in the tray.
)~"},
    {R"~(, "brightest": 5)~", R"~()~",
     R"~(stone.json:10:17: error: A brightness grade means nothing without its direction. [brightness-scale]
  at /brightness
  10 |   "brightness": {"grade": [2.5, 3], "steps": 5},
     |                 ^
  State "steps" (how many grades) and "brightest" (which grade is the
  brightest), here or in the tray.
)~"},
    {R"~("steps": 5, "brightest": 5)~", R"~("scale": 5)~",
     R"~(stone.json:10:37: error: "scale" is not a field of "brightness". [field-unknown]
  at /brightness/scale
  10 |   "brightness": {"grade": [2.5, 3], "scale": 5},
     |                                     ^
  Known here: grade, steps, brightest.
)~"},
    {R"~("steps": 5)~", R"~("steps": 7)~",
     R"~(stone.json:10:62: error: The brightest of 7 grades is 1 or 7, not 5. [brightness-scale]
  at /brightness/brightest
  10 |   "brightness": {"grade": [2.5, 3], "steps": 7, "brightest": 5},
     |                                                              ^
  On a scale from 0, where 0 is no play-of-colour, count only the grades above
  0.
)~"},
    {R"~("steps": 5)~", R"~("steps": 2.5)~",
     R"~(stone.json:10:46: error: "steps" has to be a whole number, not a number with a fraction. [value-type]
  at /brightness/steps
  10 |   "brightness": {"grade": [2.5, 3], "steps": 2.5, "brightest": 5},
     |                                              ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~("steps": 5)~", R"~("steps": 5,5)~",
     R"~(stone.json:10:47: error: A comma stands inside a number. [json-syntax]
  at /brightness
  10 |   "brightness": {"grade": [2.5, 3], "steps": 5,5, "brightest": 5},
     |                                               ^
  Write its decimals after a point: 5.5.
stone.json:10:46: error: "steps" has to be a whole number, not a number with a fraction. [value-type]
  at /brightness/steps
  10 |   "brightness": {"grade": [2.5, 3], "steps": 5,5, "brightest": 5},
     |                                              ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~([{"colour": "green", "share": 0.6}, {"colour": "blue", "share": [0.3, 0.5]}])~", R"~([])~",
     R"~(stone.json:12:16: error: The list of colours is empty. [value-range]
  at /play_of_colour/colours
  12 |     "colours": [],
     |                ^
  Name each colour with its share, or write "play_of_colour": null when there is
  none.
)~"},
    {R"~("share": 0.6)~", R"~("share": 60)~",
     R"~(stone.json:12:46: error: "share" lies between 0 and 1, not at 60. [value-range]
  at /play_of_colour/colours/0/share
  12 | …urs": [{"colour": "green", "share": 60}, {"colour": "blue", "share": [0…
     |                                      ^
  Write a share of one: 60 % is 0.6.
)~"},
    {R"~("share": 0.6)~", R"~("share": -0.1)~",
     R"~(stone.json:12:46: error: "share" lies between 0 and 1, not at -0.1. [value-range]
  at /play_of_colour/colours/0/share
  12 | …urs": [{"colour": "green", "share": -0.1}, {"colour": "blue", "share": …
     |                                      ^
  Correct the number.
)~"},
    {R"~(, "share": 0.6)~", R"~()~",
     R"~(stone.json:12:17: error: "share" is missing from a colour. [field-missing]
  at /play_of_colour/colours/0/share
  12 |     "colours": [{"colour": "green"}, {"colour": "blue", "share": [0.3, 0…
     |                 ^
  Add it, as "share": 0.6.
)~"},
    {R"~("pattern": ["flash", "broad flash"],)~", R"~()~",
     R"~(stone.json:11:21: error: "pattern" is missing from "play_of_colour". [field-missing]
  at /play_of_colour/pattern
  11 |   "play_of_colour": {
     |                     ^
  Add it, as "pattern": "flash".
)~"},
    {R"~(["flash", "broad flash"])~", R"~(["flash"])~",
     R"~(stone.json:13:16: error: A range has two ends, and "pattern" has 1. [value-type]
  at /play_of_colour/pattern
  13 |     "pattern": ["flash"],
     |                ^
  Write [low, high], or the one grade without brackets.
)~"},
    {R"~([0.9, 0.95])~", R"~(NaN)~",
     R"~(stone.json:14:17: error: NaN is no number of JSON. [json-syntax]
  at /play_of_colour
  14 |     "coverage": NaN,
     |                 ^
  Leave out what was not measured.
)~"},
    {R"~([0.9, 0.95])~", R"~(Infinity)~",
     R"~(stone.json:14:17: error: Infinity is no number of JSON. [json-syntax]
  at /play_of_colour
  14 |     "coverage": Infinity,
     |                 ^
  Leave out what was not measured.
)~"},
    {R"~([0.9, 0.95])~", R"~(.9)~",
     R"~(stone.json:14:17: error: A number begins with its point. [json-syntax]
  at /play_of_colour
  14 |     "coverage": .9,
     |                 ^
  Write a 0 before the point: 0.9.
)~"},
    {R"~("slight")~", R"~(null)~",
     R"~(stone.json:15:23: error: "directionality" has to be a word, or two of them, not null. [value-type]
  at /play_of_colour/directionality
  15 |     "directionality": null
     |                       ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~("place": "back",)~", R"~()~",
     R"~(stone.json:17:14: error: "place" is missing from a fault. [field-missing]
  at /faults/0/place
  17 |   "faults": [{"kind": "potch line",  "severity": ["minor", "moderate"]}],
     |              ^
  Add it, as "place": "face".
)~"},
    {R"~("minor", "moderate")~", R"~("minor", 2)~",
     R"~(stone.json:17:66: error: "severity" has to be a word, or two of them, not a number. [value-type]
  at /faults/0/severity
  17 | …s": [{"kind": "potch line", "place": "back", "severity": ["minor", 2]}],
     |                                                           ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
    {R"~(["low", "medium"])~", R"~("tall")~",
     R"~(stone.json:18:38: error: "tall" is not one of: low, medium, high. [value-unknown]
  at /cut/dome
  18 |   "cut": {"outline": "oval", "dome": "tall", "back": "flat", "polish": "…
     |                                      ^
  Use one of them.
)~"},
    {R"~("flat")~", R"~("flatt")~",
     R"~(stone.json:18:65: error: "flatt" is not one of: flat, convex, double. [value-unknown]
  at /cut/back
  18 | …": "oval", "dome": ["low", "medium"], "back": "flatt", "polish": "good",
     |                                                ^
  Did you mean "flat"?
)~"},
    {R"~(93.10)~", R"~(93,10)~",
     R"~(stone.json:19:19: error: A comma stands inside a number. [json-syntax]
  at /cut
  19 |     "area_mm2": 93,10},
     |                   ^
  Write its decimals after a point: 93.10.
)~"},
    {R"~(12.10)~", R"~("12.1 mm")~",
     R"~(stone.json:21:15: error: "length" has to be a number above 0, [low, high], or {"value", "uncertainty"}, not a text. [value-type]
  at /dimensions_mm/length
  21 |     "length": "12.1 mm", "width": {"value": 9.9, "uncertainty": 0.03}, "…
     |               ^
  Write the number without quotes and without a unit.
)~"},
    {R"~(12.10)~", R"~(1e400)~",
     R"~(stone.json:21:15: error: The number 1e400 is too large to be held. [number-size]
  at /dimensions_mm
  21 |     "length": 1e400, "width": {"value": 9.9, "uncertainty": 0.03}, "dept…
     |               ^
  Write the number that was measured.
)~"},
    {R"~(12.10)~", R"~(12100000000)~",
     R"~(stone.json:21:15: error: 12100000000 is larger than any number a record can hold. [number-size]
  at /dimensions_mm/length
  21 |     "length": 12100000000, "width": {"value": 9.9, "uncertainty": 0.03},…
     |               ^
  Numbers lie between -1000000000 and 1000000000.
)~"},
    {R"~(12.10)~", R"~(0)~",
     R"~(stone.json:21:15: error: "length" is more than 0, not 0. [value-range]
  at /dimensions_mm/length
  21 |     "length": 0, "width": {"value": 9.9, "uncertainty": 0.03}, "depth": …
     |               ^
  Measure again, or leave the field out.
)~"},
    {R"~(12.10)~", R"~(-12.1)~",
     R"~(stone.json:21:15: error: "length" is more than 0, not -12.1. [value-range]
  at /dimensions_mm/length
  21 |     "length": -12.1, "width": {"value": 9.9, "uncertainty": 0.03}, "dept…
     |               ^
  Measure again, or leave the field out.
)~"},
    {R"~({"value": [2.9, 3.1]})~", R"~({"value": [2.9, 3.1], "uncertainty": 0.1})~",
     R"~(stone.json:22:24: error: A reading is given by limits or with an uncertainty, not both. [value-type]
  at /dimensions_mm/dome
  22 |     "wall": 1, "dome": {"value": [2.9, 3.1], "uncertainty": 0.1}, "back"…
     |                        ^
  Keep [low, high] when you know limits, the value and its uncertainty when you
  know those.
)~"},
    {R"~("value": 9.9,)~", R"~()~",
     R"~(stone.json:21:31: error: "value" is missing from a reading. [field-missing]
  at /dimensions_mm/width/value
  21 |     "length": 12.10, "width": { "uncertainty": 0.03}, "depth": [4.3, 4.5…
     |                               ^
  Add it, as "value": 3.61.
)~"},
    {R"~("value": 3.61,)~", R"~()~",
     R"~(stone.json:24:16: error: "value" is missing from a reading. [field-missing]
  at /weight_ct/value
  24 |   "weight_ct": { "uncertainty": 0.005},
     |                ^
  Add it, as "value": 3.61.
)~"},
    {R"~(3.61)~", R"~(+3.61)~",
     R"~(stone.json:24:26: error: A number begins with a plus. [json-syntax]
  at /weight_ct
  24 |   "weight_ct": {"value": +3.61, "uncertainty": 0.005},
     |                          ^
  Write it without.
)~"},
    {R"~(0.005)~", R"~(-0.005)~",
     R"~(stone.json:24:47: error: "uncertainty" is 0 or more, not -0.005. [value-range]
  at /weight_ct/uncertainty
  24 |   "weight_ct": {"value": 3.61, "uncertainty": -0.005},
     |                                               ^
  Correct the number.
)~"},
    {R"~([2.06, 2.14])~", R"~([2.06; 2.14])~",
     R"~(stone.json:25:19: error: A semicolon stands where a comma belongs. [json-syntax]
  at /density
  25 |   "density": [2.06; 2.14],
     |                   ^
  Write a comma.
)~"},
    {R"~("mounted": true)~", R"~("mounted": true, // set)~",
     R"~(stone.json:26:20: error: A record has no comments. [json-syntax]
  26 |   "mounted": true, // set,
     |                    ^
  "notes" is there for them.
)~"},
    {R"~(140.50)~", R"~("140.50")~",
     R"~(stone.json:27:22: error: "amount" has to be a number, not a text. [value-type]
  at /cost/amount
  27 |   "cost": {"amount": "140.50", "currency": "AUD", "note": "a gift"},
     |                      ^
  Write the number without quotes and without a unit.
)~"},
    {R"~("AUD")~", R"~("aud")~",
     R"~(stone.json:27:42: error: "aud" is not a currency of ISO 4217. [value-unknown]
  at /cost/currency
  27 |   "cost": {"amount": 140.50, "currency": "aud", "note": "a gift"},
     |                                          ^
  Write its three letters, for example "AUD".
)~"},
    {R"~("currency": "AUD",)~", R"~()~",
     R"~(stone.json:27:11: error: "currency" is missing from "cost". [field-missing]
  at /cost/currency
  27 |   "cost": {"amount": 140.50,  "note": "a gift"},
     |           ^
  Add it, as "currency": "AUD".
)~"},
    {R"~("no notes")~", R"~('no notes')~",
     R"~(stone.json:28:12: error: A text stands in single quotes. [json-syntax]
  28 |   "notes": 'no notes',
     |            ^
  Write straight double quotes: "text".
)~"},
    {R"~("no notes")~", "\"no \xff notes\"",
     R"~(stone.json:28:16: error: The text is not UTF-8 here. [json-encoding]
  28 |   "notes": "no � notes",
     |                ^
  Save the file as UTF-8.
)~"},
    {R"~("no notes")~", "\"no \\ud800 notes\"",
     R"~(stone.json:28:22: error: A \u escape is half of a surrogate pair. [json-encoding]
  28 |   "notes": "no \ud800 notes",
     |                      ^
  Write the character itself, or both halves of its escape.
)~"},
    {R"~("no notes")~", "\"two\nlines\"",
     R"~(stone.json:28:16: error: A line ends inside a quoted text. [json-syntax]
  28 |   "notes": "two
     |                ^
  Is its closing quote missing? A line break that belongs to the text is written
  \n.
)~"},
    {R"~("no notes")~", "\"a \\q\"",
     R"~(stone.json:28:16: error: A backslash stands before a letter that it gives no meaning to. [json-syntax]
  28 |   "notes": "a \q",
     |                ^
  A backslash that belongs to the text is written \\.
)~"},
    {R"~("no notes",)~", R"~("no notes")~",
     R"~(stone.json:29:3: error: A comma is missing before this. [json-syntax]
  29 |   "x-own": {"a": [1, "two"]}
     |   ^
  Write it, or close the bracket or quote that is still open.
)~"},
    {R"~("x-own")~", R"~("own")~",
     R"~(stone.json:29:3: error: "own" is not a field of a record. [field-unknown]
  at /own
  29 |   "own": {"a": [1, "two"]}
     |   ^
  Known here: format, id, type, treatments, body_tone, body_hue, transparency,
  hydrophane, brightness, play_of_colour, faults, cut, dimensions_mm, weight_ct,
  density, mounted, cost, sale, notes. A field of your own begins with "x-".
)~"},
    {R"~("x-own")~", R"~("id")~",
     R"~(stone.json:29:3: error: This key stands twice in one object, and which one is meant cannot be known. [json-key-repeated]
  at /id
  29 |   "id": {"a": [1, "two"]}
     |   ^
  Keep the right one and remove the other.
)~"},
    {R"~("two"]})~", R"~("two"]},)~",
     R"~(stone.json:29:29: error: A comma stands before a closing }. [json-syntax]
  29 |   "x-own": {"a": [1, "two"]},
     |                             ^
  Remove the comma.
)~"},
    {R"~("two"]})~", R"~("two"]}})~",
     R"~(stone.json:30:1: error: The text goes on after its last closing bracket. [json-syntax]
  30 | }
     | ^
  Is a bracket closed twice? Otherwise give each record a line of its own
  (NDJSON), or write [ and ] around them and commas between them.
)~"},
    {R"~("notes")~", "\"r\xc3\xa9sum\xc3\xa9\": \"\xe2\x82\xac\", \"notes\"",
     R"~(stone.json:28:3: error: "résumé" is not a field of a record. [field-unknown]
  at /résumé
  28 |   "résumé": "€", "notes": "no notes",
     |   ^
  Known here: format, id, type, treatments, body_tone, body_hue, transparency,
  hydrophane, brightness, play_of_colour, faults, cut, dimensions_mm, weight_ct,
  density, mounted, cost, sale, notes. A field of your own begins with "x-".
)~"},
    {R"~([2.5, 3])~", R"~(101)~",
     R"~(stone.json:10:27: error: A grade on a scale of 5 lies between 1 and 5. [value-range]
  at /brightness/grade
  10 |   "brightness": {"grade": 101, "steps": 5, "brightest": 5},
     |                           ^
  Correct the grade, or the number of steps of its scale.
)~"},
    {R"~("brightest": 5})~", R"~("brightest": 0})~",
     R"~(stone.json:10:62: error: "brightest" lies between 1 and 100, not at 0. [value-range]
  at /brightness/brightest
  10 |   "brightness": {"grade": [2.5, 3], "steps": 5, "brightest": 0},
     |                                                              ^
  Correct the number.
)~"},
    {R"~("dimensions_mm": {)~", R"~("dimension_mm": {)~",
     R"~(stone.json:20:3: error: "dimension_mm" is not a field of a record. [field-unknown]
  at /dimension_mm
  20 |   "dimension_mm": {
     |   ^
  Did you mean "dimensions_mm"?
)~"},
    {R"~(["minor", "moderate"])~", R"~({"is": "minor"})~",
     R"~(stone.json:17:66: error: "severity" has to be a word, or two of them, not an object. [value-type]
  at /faults/0/severity
  17 | … [{"kind": "potch line", "place": "back", "severity": {"is": "minor"}}],
     |                                                        ^
  Write it as the record's format has it: see "trayworth schema record".
)~"},
};

} // namespace

TEST_CASE("every fault says where it is, what is wrong and how to mend it") {
    for (const Case& fault : cases) {
        const test::Read read =
            test::read_one(test::with(test::ordinary_record, fault.from, fault.to));
        CAPTURE(fault.to);
        CHECK_FALSE(read.accepted);
        CHECK(test::rendered(read.diagnostics) == fault.said);
    }
}
