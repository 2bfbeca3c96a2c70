"""Word lists of the points, and where they come from.

W, N, T: ISMP list of error-prone dose designations and the Joint Commission's list (numbers
and units); NIST, "Times of day FAQ" (12 am and 12 pm); US Naval Observatory advice (both
dates of a night); CDC Clear Communication Index and AHRQ PEMAT-P (wording, lists, summary);
RNIB clear print and ACB large print (sizes); WCAG 2.2 (contrast, colour); ISO 14289-1 (tags);
ISO/IEC 7810 (bank card); ISO 6009 (needle colours).  The lists of everyday words below are
common practice, no source."""

WEEKDAYS = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split()
MONTHS = "January February March April May June July August September October November December".split()
NUMBER_WORDS = "one two three four five six seven eight nine ten eleven twelve".split()

VERBS = set("""Add Call Change Charge Check Clear Count Do Draw Drop Fill Find Finish Get Give Go Hold Hear Inject Keep Label Lay Lift Look
Mix Open Pack Press Pull Push Put Read Rest Say Screw Set Sign Sit Snap Tick Stay Stop Stretch Swirl Take Tap Tilt Turn Use Wait Wash Wipe Wrap
Write Clean Let Leave Close Dial Halve Hand Lower Make Move Peel Pick Point Slide Spread Touch Twist Unscrew Warm Empty""".split())

DENIED = {
    "hard": ["administer", "reconstitut", "subcutaneous", "intramuscular", "aspirat", "diluent", "prior to", "utili[sz]e",
             "ventroglute", "dorsoglute", "deltoid", "abdomen", "lyophili", "withdraw"],
    "scare": ["fail", "ruin", "fatal", "die", "danger", "cancel your cycle", "too late", "lose your"],
    "agency": ["approved by", "FDA", "licensed by", "certified", "guaranteed"],
}

# One name for one thing: words that would be a second one.
SYNONYMS = {
    "the liquid": ["solvent", "fluid", "solution", "water"],
    "the filling needle": ["long needle", "drawing needle", "drawing-up needle", "mixing needle"],
    "the injecting needle": ["short needle", "injection needle", "fine needle"],
    "the sharps box": ["sharps bin", "sharps container", "needle box"],
    "the powder vial": ["drug vial", "ampule", "bottle", "flask"],
    "the small bandage": ["plaster", "band-aid", "dressing"],
    "the lid": ["stopper", "flip-off"],
    "the rim": ["black ring", "rubber edge", "gasket"],
}

# style calls these passive although they are not: "the rim is on", "your arm so that it cannot".
PASSIVE_FREE = ["may now be", "what is left", "is done", "is covered", "is the rest", "rim is on", "is gone", "is empty", "is on the", "is between", "is fine", "is right", "are true", "is just below", "is still on", "thick it is", "is left on the table", "is right", "neck is empty", "is on the line", "is between them", "is under them", "needle is out", "be clear", "you are alone"]

EMERGENCY = ["breathe", "swell", "faint"]

# A word of English that means something else in the sheet's language (Sharif and Tse 2010:
# "once" reads as eleven in Spanish).
FALSE_FRIENDS = {"es": ["once"], "fr": ["pain", "injure"]}
