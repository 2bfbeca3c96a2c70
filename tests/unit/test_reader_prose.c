/* reader: text for people, and that every example of the field table is read. */
#include "reader_fixture.h"

typedef struct Prose {
    const char *row; /* of the published list */
    const char *text;
    const char *expected; /* the text begins in column 6 */
} Prose;

/* E rows: ISMP List of Error-Prone Abbreviations, Symbols, and Dose Designations
 * (2021) and its reprints; E06, E07: Joint Commission Do Not Use list as printed
 * in OpenStax, Pharmacology for Nurses; E49: NIST Time and Frequency FAQ; E50:
 * GOV.UK style.  H: harmless neighbours. */
static const Prose prose[] = {
    {"E03", "Give 5 IU now.", "unsafe_abbreviation:6:13"},
    {"E06", "Draw 1.0 mL.", "trailing_zero:6:11"},
    {"E06", "Draw 0.50 mL.", "trailing_zero:6:11"},
    {"E07", "Draw .5 mL.", "naked_decimal:6:11"},
    {"E09", "Take 5 \u00b5g now.", "unsafe_abbreviation:6:13"},
    {"E09", "Take 5 \u03bcg now.", "hidden_characters:6:13"},
    {"E10", "Draw 1 cc.", "unsafe_abbreviation:6:13"},
    {"E11", "Give it SC at night.", "unsafe_abbreviation:6:14"},
    {"E11", "Give it SQ at night.", "unsafe_abbreviation:6:14"},
    {"E11", "Give it sub q at night.", "unsafe_abbreviation:6:14"},
    {"E12", "Take it HS.", "unsafe_abbreviation:6:14"},
    {"E14", "Take it at BT.", "unsafe_abbreviation:6:17"},
    {"E15", "Take it qhs.", "unsafe_abbreviation:6:14"},
    {"E17", "Take it q1d.", "unsafe_abbreviation:6:14"},
    {"E18", "Take it q6PM.", "unsafe_abbreviation:6:14"},
    {"E19", "Take it TIW.", "unsafe_abbreviation:6:14"},
    {"E20", "Take it UD.", "unsafe_abbreviation:6:14"},
    {"E21", "Take it OD.", "unsafe_abbreviation:6:14"},
    {"E22", "D/C it then.", "unsafe_abbreviation:6:6"},
    {"E27", "Draw 1 ml.", "unsafe_abbreviation:6:13"},
    {"E28", "Be ready @ 9 pm.", "unsafe_abbreviation:6:15"},
    {"E29", "Wipe & wait.", "unsafe_abbreviation:6:11"},
    {"E30", "Wipe + wait.", "unsafe_abbreviation:6:11"},
    {"E33", "Wait > 5 min.", "unsafe_abbreviation:6:11"},
    {"E34", "Draw 10mL.", "unsafe_abbreviation:6:13"},
    {"E39", "Open vial III.", "unsafe_abbreviation:6:16"},
    {"E40", "Use the 1:1,000 one.", "unsafe_abbreviation:6:14"},
    {"E43", "Stop MTX first.", "unsafe_abbreviation:6:11"},
    {"E46", "Take it x3d.", "unsafe_abbreviation:6:14"},
    {"E47", "Wait \u2265 5 min.", "unsafe_abbreviation:6:11"},
    {"E48", "It has 10K units.", "unsafe_abbreviation:6:13"},
    {"E49", "Inject at 12 am.", "midnight_words:6:16"},
    {"E49", "Inject at 12:00 p.m. sharp.", "midnight_words:6:16"},
    {"E50", "Inject at midnight.", "midnight_words:6:16"},
    {"B10", "Inject at 24:00.", "midnight_words:6:16"},
    {"-", "Take two teaspoons.", "household_measure:6:11"},
    {"-", "Take 5 drops.", "household_measure:6:11"},
    {"H", "A drop of blood is fine.", ""},
    {"H", "One drop of blood is fine.", ""},
    {"H", "Call 902 555 0142 at 12:30 pm.", ""},
    {"H", "It holds 10,000 units in 1.5 mL.", ""},
    {"H", "Use the U-100 syringe.", ""},
    {"H", "I am here at 9.30 pm, or at 10:12 am.", ""},
    {"H", "Keep it at 2 to 8 \u00b0C.", ""},
    {"H", "Write to nurse@example.org.", ""},
    {"H", "Call +1 902 555 0142 at noon.", ""},
};

static void test_prose(void **state)
{
    (void)state;
    FixtureCase cases[G_N_ELEMENTS(prose)];
    for (gsize i = 0; i < G_N_ELEMENTS(prose); i++)
        cases[i] = (FixtureCase){FILE_PROTOCOL, "It readies your eggs for collection.", prose[i].text,
                          prose[i].expected};
    cases_check(cases, G_N_ELEMENTS(cases));
}

/* Names on the shelf may be as the label prints them: a warning. */
static void test_product_name(void **state)
{
    char *text = replaced(*state, good_shelf, "generic: chorionic gonadotropin", "generic: hCG");
    Shelf *shelf = read_text_of(*state, "shelf.yaml", text, FILE_SHELF);
    assert_string_equal(findings(*state), "unsafe_abbreviation:4:14");
    assert_int_equal(finding_severity(diagnostics_at(((Fixture *)*state)->diagnostics, 0)),
                     SEVERITY_WARNING);
    const Medicine *medicine = shelf->medicines.items->pdata[0];
    assert_true(PRESENT(medicine->generic));
}

static void test_prose_in_each_language(void **state)
{
    char *text = replaced(*state, good_protocol, "late: Call us now, at any hour.",
                          "late:\n      en: Call us.\n      fr: \"Appelez \\u0041 midnight\"");
    read_text_of(*state, "evening-trigger.yaml", text, FILE_PROTOCOL);
    assert_string_equal(findings(*state), "midnight_words:32:11");
}

/* ---- the table ---- */

/* Each record is reached from one of the four files, and its fields do not overlap. */
static void test_table(void **state)
{
    (void)state;
    for (guint i = 0; i < RECORD_COUNT; i++) {
        RecordRow record = record_row((RecordId)i);
        gsize end = sizeof(Field);
        assert_true(record.count > 0);
        for (guint f = 0; f < record.count; f++) {
            const FieldRow *row = &record.fields[f];
            RecordId inner = field_record(row);
            gsize size = row->kind == AS_RECORD ? record_row(inner).size : kind_row(row->kind)->size;
            assert_true(row->offset >= end || f > 0);
            assert_true(row->offset + size <= record.size);
            assert_ptr_equal(record_find((RecordId)i, row->key), row);
            assert_true(row->description[0] != '\0');
            assert_true(inner != RECORD_COUNT || row->example[0] != '\0');
        }
    }
}

/* Every row's example is a value that its own key accepts. */
static char *minimal_of(Fixture *fixture, RecordId record, const char *indent);

static char *value_of(Fixture *fixture, const FieldRow *row, const char *indent)
{
    Arena *arena = fixture->arena;
    RecordId inner = field_record(row);
    if (inner == RECORD_COUNT)
        return arena_format(arena, " %s\n", row->example);
    char *deeper = arena_format(arena, "%s  ", indent);
    char *keys = minimal_of(fixture, inner, deeper);
    if (!kind_row(row->kind)->is_list)
        return arena_format(arena, "\n%s", keys);
    return arena_format(arena, "\n%s-%s", indent, keys + strlen(indent) + 1);
}

static char *minimal_of(Fixture *fixture, RecordId record, const char *indent)
{
    RecordRow rows = record_row(record);
    char *text = arena_copy(fixture->arena, "");
    for (guint i = 0; i < rows.count; i++) {
        const FieldRow *row = &rows.fields[i];
        text = arena_format(fixture->arena, "%s%s%s:%s", text, indent, row->key,
                            value_of(fixture, row, indent));
    }
    return text;
}

static void test_examples(void **state)
{
    static const RecordId roots[] = {RECORD_Clinic, RECORD_Shelf, RECORD_Protocol, RECORD_Patient};
    static const FileKind kinds[] = {FILE_CLINIC, FILE_SHELF, FILE_PROTOCOL, FILE_PATIENT};
    for (gsize i = 0; i < G_N_ELEMENTS(roots); i++) {
        char *text = minimal_of(*state, roots[i], "");
        read_text_of(*state, kinds[i] == FILE_PATIENT ? "LC-0001.yaml" : "evening-trigger.yaml", text, kinds[i]);
        assert_string_equal(findings(*state), "");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_prose),
        cmocka_unit_test_setup_teardown(test_product_name, setup, teardown),
        cmocka_unit_test_setup_teardown(test_prose_in_each_language, setup, teardown),
        cmocka_unit_test(test_table),
        cmocka_unit_test_setup_teardown(test_examples, setup, teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
