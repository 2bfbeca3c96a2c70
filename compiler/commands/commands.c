/* commands: options, the table of commands, and what they share. */
#include "commands/beside.h"
#include "commands/commands.h"
#include "commands/doors.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "fhir/fhir.h"
#include "rules/rules.h"

/* A text of its own between two zeros, where tests/one_version.py puts another: the end of a literal the linker may
 * share with one that ends so. */
static const char version[] = "\0" DOSEWRIGHT_VERSION;
#define PROGRAM_VERSION (version + 1)

typedef struct Command {
    const char *name;
    const char *purpose;  /* one line */
    const char *example;  /* shown before anything else in its help */
    const char *words;    /* what follows the options, and no more; ways to say it stand between " | " */
    const char *program;  /* that has it, or NULL: every one */
    CommandFunction run;
    unsigned doors;       /* of Door: what stays open to it */
} Command;

static const Command commands[] = {
    {"check", "say what a reviewer must know about files or folders",
     "dosewright check protocols/evening-trigger.yaml", "FILE|FOLDER...", NULL, command_check,
     DOOR_WORDS | DOOR_ASKS},
    {"roster", "print an empty roster with the headings that a protocol needs",
     "dosewright roster protocols/evening-trigger.yaml > today.csv", "PROTOCOL-FILE", NULL, command_roster,
     DOOR_WORDS},
    {"sheet", "print the sheets of one patient",
     "dosewright sheet --out today patients/LC-2041.yaml", "PATIENT-FILE...", COMMANDS_PAPER, NULL,
     DOOR_WORDS | DOOR_OUT | DOOR_HERE | DOOR_RECORD},
    {"day", "print the sheets of all people of a roster, and one print file of them",
     "dosewright day --out today today.csv", "ROSTER", COMMANDS_PAPER, NULL, DOOR_WORDS | DOOR_OUT | DOOR_RECORD},
    {"read", "say whether a printed sheet is whole and which revision made it",
     "dosewright read --code 9AHC6 today/LC-2041-7-trigger.pdf", "SHEET.pdf...", COMMANDS_PAPER, NULL,
     DOOR_WORDS | DOOR_SHEET},
    {"plan", "show every time, volume, mark and count that was worked out",
     "dosewright plan patients/LC-2041.yaml", "FILE", NULL, command_plan, DOOR_WORDS},
    {"trace", "show where one value of a plan comes from",
     "dosewright trace patients/LC-2041.yaml injection_time", "FILE VALUE", NULL, command_trace, DOOR_WORDS},
    {"explain", "explain a rule, or list all of them",
     "dosewright explain off_the_mark", "[RULE...]", NULL, command_explain, 0},
    {"schema", "print the schema that helps an editor",
     "dosewright schema protocol > protocol.schema.json", "clinic|shelf|protocol|patient|reference",
     NULL, command_schema, 0},
    {"compare", "say what differs for the person between two protocols, or two folders of a clinic",
     "dosewright compare old/evening-trigger.yaml protocols/evening-trigger.yaml", "OLD NEW", NULL, command_compare,
     DOOR_WORDS},
    {"review", "write the quality lead's report as web page and PDF",
     "dosewright review --out report --since 2026-10-01 samples", "FOLDER...", COMMANDS_PAPER, NULL,
     DOOR_WORDS | DOOR_OUT | DOOR_HERE | DOOR_RECORD},
    {"rule-book", "write all rules with reasons and sources as web page and PDF",
     "dosewright rule-book --out book", "", COMMANDS_PAPER, NULL, DOOR_WORDS | DOOR_OUT | DOOR_HERE},
    {"night", "say who injects what tonight, in order of time: list, page, watch",
     "dosewright night --out tonight patients", "FILE|FOLDER...", COMMANDS_PAPER, NULL,
     DOOR_WORDS | DOOR_OUT | DOOR_RECORD},
    {"find", "say who of tonight has this code, spoken code, name or telephone, and what to say",
     "dosewright find 9AHC6 patients", "WORD FILE|FOLDER...", COMMANDS_PAPER, NULL, DOOR_WORDS | DOOR_RECORD},
    {"desk", "serve the pages of the nurses' desk to a browser on this machine",
     "dosewright desk --clinic clinic", "", COMMANDS_DESK, NULL, DOOR_SERVES},
    {"people", "say who may sign in at the desk, as what, with what password",
     "dosewright people add --clinic clinic --role nurse 'K. Madeup'",
     "list | add NAME | roles NAME | password NAME | remove NAME", COMMANDS_DESK, NULL, DOOR_WORDS | DOOR_CLINIC},
    {"letters", "say which letters of a text the sheets of a language cannot print",
     "dosewright letters en 'Zo\303\253 T.'", "LANGUAGE TEXT...", COMMANDS_PAPER, NULL, 0},
    {"approve", "print the approval that a physician puts into a protocol",
     "dosewright approve --by 'Dr R. Invented' --review-by 2027-10-01 protocols/evening-trigger.yaml", "PROTOCOL-FILE",
     NULL, command_approve, DOOR_WORDS | DOOR_RECORD | DOOR_CLINIC},
    {"move", "give a procedure a new time: the file, a new sheet, what to say",
     "dosewright move --out today patients/LC-2041.yaml '12:30 pm'",
     "PATIENT-FILE TIME | ROSTER CODE TIME", COMMANDS_PAPER, NULL,
     DOOR_WORDS | DOOR_OUT | DOOR_HERE | DOOR_RECORD | DOOR_BESIDE},
    {"cancel", "say that nothing is to be injected from a sheet",
     "dosewright cancel --by 'P. Invented' --out today LC-2041 'no egg collection'", "SHEET REASON", NULL,
     command_cancel, DOOR_WORDS | DOOR_OUT | DOOR_RECORD},
    {"recall", "find, call back and print anew the sheets that rest on something",
     "dosewright recall --by 'K. Madeup' --out today lot A1234 'cracked vials'",
     "protocol|shelf|lot|rule|language WHAT [REASON [ROSTER...]]", COMMANDS_PAPER, NULL,
     DOOR_WORDS | DOOR_OUT | DOOR_HERE | DOOR_RECORD | DOOR_CLINIC | DOOR_BESIDE},
    {"record", "search the record of all sheets, add to it, verify and copy it",
     "dosewright record find LC-2041",
     "verify | find WORD | note SHEET WHAT [WORD=TEXT...] | received LOT COUNT [REMARK] | gone LOT COUNT REASON | "
     "lots | backup FILE | restored REASON", NULL, command_record, DOOR_WORDS | DOOR_RECORD | DOOR_COPY},
    {"seal", "print the digest of a protocol's meaning, to be approved",
     "dosewright seal protocols/evening-trigger.yaml", "PROTOCOL-FILE", NULL, command_seal, DOOR_WORDS},
};

static void print_help(FILE *stream)
{
    fputs("Example:\n"
          "  dosewright check protocols/evening-trigger.yaml\n"
          "  dosewright sheet --out today patients/LC-2041.yaml\n\n"
          "dosewright COMMAND [OPTION...] FILE...\n\n",
          stream);
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++)
        fprintf(stream, "  %-9s %s\n", commands[i].name, commands[i].purpose);
    fputs("\nEach command has its own help: dosewright COMMAND --help\n"
          "Exit status: 0 fine, 1 findings and no sheet, 2 wrong use, 3 system, 4 our own check failed.\n\n"
          "It chooses no medicine, dose, site or hour: the prescriber's order and the label in the box\n"
          "decide, and local law and licensed practice come first.\n",
          stream);
}

int commands_usage(const char *format, ...)
{
    va_list facts;
    va_start(facts, format);
    g_autofree char *text = g_strdup_vprintf(format, facts);
    va_end(facts);
    terminal_say(stderr, "dosewright: %s\ntry: dosewright --help\n", text);
    return EXIT_USAGE;
}

int commands_system_error(GError *error)
{
    terminal_say(stderr, "dosewright: %s\n", error->message);
    g_error_free(error);
    return EXIT_SYSTEM;
}

static gboolean wants_colour(FILE *stream)
{
    const char *refused = g_getenv("NO_COLOR");
    return isatty(fileno(stream)) && (!refused || !*refused);
}

void commands_report(Session *session, Diagnostics *diagnostics)
{
    g_autoptr(GString) text = g_string_new(NULL);
    if (session->format == FINDINGS_SARIF) {
        diagnostics_append(session->all, diagnostics);
        return;
    }
    FILE *stream = session->format == FINDINGS_LINES ? stdout : stderr;
    if (session->format == FINDINGS_LINES)
        diagnostics_print_lines(diagnostics, text);
    else if (diagnostics_count(diagnostics) > 0)
        diagnostics_print(diagnostics, text, wants_colour(stream));
    fputs(text->str, stream);
}

/* When the seal is broken: the plan from what was approved, to say what changed. */
static void find_approved(Session *session, const Case *file, Plan *plan)
{
    const Text *seal = &file->protocol->approval.seal;
    if (!PRESENT(file->protocol->approval) || !PRESENT(*seal) || !plan->seal || seal_same(plan->seal, seal->text))
        return;
    Case kept;
    PlanContext context = {session->now, PROGRAM_VERSION, file->digest, NULL, FALSE, NULL, NULL};
    if (loader_kept(session->arena, file, seal->text, &kept, &context.rules, &plan->spoilt)) {
        plan->spoilt = NULL;
        plan->approved = plan_build(session->arena, kept.clinic, kept.shelf, kept.protocol, file->patient, &context);
    }
}

static Plan *plan_of(Session *session, const Case *file, const char *alike)
{
    if (!file->clinic || !file->shelf || !file->protocol || (file->kind == FILE_PATIENT && !file->patient))
        return NULL;
    PlanContext context = {session->now, PROGRAM_VERSION, file->digest, rules_basis(), session->options.now != NULL,
                           alike, file->seals};
    Plan *plan = plan_build(session->arena, file->clinic, file->shelf, file->protocol, file->patient, &context);
    find_approved(session, file, plan);
    rules_check(plan, file->diagnostics);
    rules_accept(plan, file->diagnostics);
    return plan;
}

void commands_together(Session *session, const GPtrArray *cases)
{
    g_autoptr(GHashTable) known = g_hash_table_new_full(g_str_hash, g_str_equal, g_free, NULL);
    g_autoptr(GPtrArray) all = g_ptr_array_new();
    g_autofree char *here = g_get_current_dir();
    for (guint i = 0; i < cases->len; i++) {
        const Case *file = g_ptr_array_index(cases, i);
        g_hash_table_add(known, g_canonicalize_filename(file->path, here));
        g_ptr_array_add(all, (gpointer)file);
    }
    for (guint i = 0; i < cases->len; i++)
        loader_neighbours(session->arena, g_ptr_array_index(cases, i), known, all);
    people_listed_beside(session, cases, all);
    for (guint i = 0; i < all->len; i++) {
        const Case *file = g_ptr_array_index(all, i);
        if (file->patient && PRESENT(file->patient->sheet))
            session->last_number = MAX(session->last_number, file->patient->sheet.value);
    }
    rules_together(all);
}

Plan *commands_plan(Session *session, const Case *file) { return plan_of(session, file, NULL); }

Plan *commands_plan_numbered(Session *session, Case *file, const Plan *judged, gint64 number, gint64 replaces,
                             Instant made)
{
    Patient *patient = arena_new0(session->arena, Patient);
    const Field read = {FIELD_READ, judged->patient->patient.at.place, judged->patient->patient.at.key};
    *patient = *file->patient;
    patient->sheet = (Number){read, number};
    if (replaces > 0)
        patient->replaces = (Number){read, replaces};
    file->patient = patient;
    const Value *alike = plan_value(judged, NULL, VALUE_alike);
    const PlanContext context = {made, PROGRAM_VERSION, file->digest, judged->rules, judged->dated_by_hand,
                                 alike->set ? alike->text : NULL, file->seals};
    return plan_build(session->arena, file->clinic, file->shelf, file->protocol, patient, &context);
}

Plan *commands_plan_awaiting(Session *session, const Case *file, Plan *plan)
{
    if (!plan || !plan->patient || !PRESENT(file->clinic->record) || !ABSENT(file->patient->sheet))
        return plan;
    Case numbered = *file;
    return commands_plan_numbered(session, &numbered, plan, 0, 0, session->now);
}

gboolean commands_judge(Session *session, const char *path, Case *out, Plan **plan)
{
    return commands_judge_in(session, NULL, path, out, plan);
}

gboolean commands_judge_in(Session *session, Arena *own, const char *path, Case *out, Plan **plan)
{
    GError *error = NULL;
    *plan = NULL;
    if (fhir_is(path)) {
        gboolean read = commands_load_bundle(session, path, out);
        *plan = read ? commands_plan(session, out) : NULL;
        return read;
    }
    if (!(own ? loader_load_in(session->loader, own, path, out, &error)
              : loader_load(session->loader, path, out, &error))) {
        commands_system_error(error);
        return FALSE;
    }
    *plan = plan_of(session, out, alike_of(session, out));
    return TRUE;
}

gboolean commands_judge_listed(Session *session, const char *path, const Roster *roster, const RosterRow *row,
                               const char *alike, Case *out, Plan **plan)
{
    GError *error = NULL;
    *plan = NULL;
    *out = (Case){.path = path, .kind = FILE_PATIENT, .diagnostics = row->diagnostics};
    const Listed listed = {session->arena, row->root, roster_is_table(roster), row->words, row->diagnostics};
    if (row->root && !loader_listed(session->loader, path, &listed, out, &error)) {
        commands_system_error(error);
        return FALSE;
    }
    if (row->root)
        *plan = plan_of(session, out, alike);
    roster_locate(roster, row, out->diagnostics);
    return TRUE;
}

/* The folder that holds this program. */
static char *own_folder(void)
{
    g_autofree char *self = g_file_read_link("/proc/self/exe", NULL);
    return self ? g_path_get_dirname(self) : g_strdup(".");
}

char *commands_templates(Arena *arena)
{
    g_autofree char *folder = own_folder();
    g_autofree char *built = g_build_filename(folder, "..", "templates", NULL);
    g_autofree char *languages = g_build_filename(built, "languages", NULL);
    if (g_file_test(languages, G_FILE_TEST_IS_DIR))
        return arena_copy(arena, built);
    return arena_copy(arena, DOSEWRIGHT_TEMPLATES);
}

/* TRUE when the path leads to the program that runs now. */
static gboolean is_this_program(const char *path)
{
    struct stat own, other;
    return stat("/proc/self/exe", &own) == 0 && stat(path, &other) == 0 && own.st_dev == other.st_dev &&
           own.st_ino == other.st_ino;
}

char *commands_program(Arena *arena, const char *name)
{
    g_autofree char *folder = own_folder();
    g_autofree char *beside = g_build_filename(folder, name, NULL);
    return g_file_test(beside, G_FILE_TEST_IS_EXECUTABLE) ? arena_copy(arena, beside)
                                                          : arena_format(arena, "%s/%s", DOSEWRIGHT_LIBEXEC, name);
}

/* Becomes the program of this name; returns only when that fails.  A link from its name to
 * this program would start this one for ever. */
static int become(const char *name, char **argv)
{
    Arena *arena = arena_new(); /* until the other program takes over */
    const char *program = commands_program(arena, name);
    if (is_this_program(program)) {
        terminal_say(stderr, "dosewright: %s is not the program that it is called\n", program);
        return EXIT_SYSTEM;
    }
    execv(program, argv);
    terminal_say(stderr, "dosewright: cannot run %s: %s\n", program, g_strerror(errno));
    return EXIT_SYSTEM;
}

static G_GNUC_NORETURN void leave(ExitStatus status, const char *said)
{
    ssize_t ignored = write(STDERR_FILENO, said, strlen(said));
    (void)ignored;
    _exit(status);
}

#define MEMORY_ENDED "dosewright: memory ended, or the system failed; nothing half-written is left\n"
#define OWN_FAILED "dosewright: a check of our own failed; no sheet was made\n"

/* GLib keeps here what an assertion said; a library that gives up sets nothing. */
extern char *__glib_assert_msg;

/* A failed assertion of ours is a status of its own, and no sheet; a library aborts when
 * memory ends. */
static void aborted(int signal_number)
{
    (void)signal_number;
    if (__glib_assert_msg)
        leave(EXIT_OWN, OWN_FAILED);
    leave(EXIT_SYSTEM, MEMORY_ENDED);
}

/* A library that does not look whether it got memory stumbles over it: told from a mistake
 * by asking for as much as the libraries ask for at once. */
static void stumbled(int signal_number)
{
    (void)signal_number;
    if (mmap(NULL, 64u << 20, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0) == MAP_FAILED)
        leave(EXIT_SYSTEM, MEMORY_ENDED);
    leave(EXIT_OWN, OWN_FAILED);
}

#define TOOK_TOO_LONG "dosewright: stopped: it took more seconds of the processor than anything of ours does\n"

/* The seconds are counted of what is read from outside (commands/doors.c), and of the desk's answers. */
static void took_too_long(int signal_number)
{
    (void)signal_number;
    leave(EXIT_FINDINGS, TOOK_TOO_LONG);
}

#define LIBRARY_FAILED "dosewright: a library failed; no sheet was made\n"

/* GLib gives up when memory ends and when it finds itself broken: a failing system, and not
 * a check of ours.  A library that warns (a font for which memory ended) would go on without
 * what it lacks, and a sheet that lacks something must not be. */
static GLogWriterOutput gave_up(GLogLevelFlags level, const GLogField *fields, gsize count, gpointer data)
{
    if (level & (G_LOG_LEVEL_ERROR | G_LOG_FLAG_FATAL))
        leave(EXIT_SYSTEM, MEMORY_ENDED);
    GLogWriterOutput written = g_log_writer_default(level, fields, count, data);
    if (level & (G_LOG_LEVEL_CRITICAL | G_LOG_LEVEL_WARNING))
        leave(EXIT_SYSTEM, LIBRARY_FAILED);
    return written;
}

static void catch_stumbling(void)
{
    struct sigaction action = {.sa_handler = stumbled, .sa_flags = SA_ONSTACK};
    if (SANITIZED)
        return;
    stack_for_faults();
    sigaction(SIGSEGV, &action, NULL);
    sigaction(SIGBUS, &action, NULL);
}

/* What the environment and the machine must not change: a core would hold people's data,
 * TZDIR would move the zones under a printed hour. */
static void settle_process(void)
{
    const struct rlimit none = {0, 0};
    setrlimit(RLIMIT_CORE, &none);
    prctl(PR_SET_DUMPABLE, 0);
    signal(SIGABRT, aborted);
    signal(SIGXCPU, took_too_long);
    catch_stumbling();
    signal(SIGXFSZ, SIG_IGN); /* a file too large is a failed write, and reported as one */
    signal(SIGPIPE, SIG_IGN); /* a closed reader is a failed write, and reported as one */
    g_log_set_writer_func(gave_up, NULL, NULL);
    umask(077);
    zones_settle();
}

static const Command *command_named(const char *word)
{
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++)
        if (strcmp(commands[i].name, word) == 0)
            return &commands[i];
    return NULL;
}

static int unknown_command(const char *word)
{
    const char *names[G_N_ELEMENTS(commands)];
    for (gsize i = 0; i < G_N_ELEMENTS(commands); i++)
        names[i] = commands[i].name;
    const char *near = nearest_word(word, names, G_N_ELEMENTS(names));
    return near ? commands_usage("there is no command \"%s\"; did you mean \"%s\"?", word, near)
                : commands_usage("there is no command \"%s\"", word);
}

static void add_serving(GOptionContext *context, Options *options)
{
    const GOptionEntry serving[] = {
        {"port", 0, 0, G_OPTION_ARG_INT, &options->port, "of this machine; one that is free when not said", "N"},
        {"listen", 0, 0, G_OPTION_ARG_FILENAME, &options->listen,
         "other than on this machine alone; with --cert, --key and people", "ADDRESS:PORT"},
        {"cert", 0, 0, G_OPTION_ARG_FILENAME, &options->cert, "certificate for TLS, with those that lead to it",
         "FILE"},
        {"key", 0, 0, G_OPTION_ARG_FILENAME, &options->key, "the certificate's key", "FILE"},
        {"role", 0, 0, G_OPTION_ARG_STRING_ARRAY, &options->roles,
         "of one of the people: nurse, physician, quality-lead or night-phone; may be said again", "ROLE"},
        {"templates", 0, 0, G_OPTION_ARG_FILENAME, &options->templates,
         "folder of templates and phrase sets; the installed ones when not said", "FOLDER"},
        G_OPTION_ENTRY_NULL};
    g_option_context_add_main_entries(context, serving, NULL);
}

static gboolean parse_options(const Command *command, int *argc, char ***argv, Options *options,
                              GError **error)
{
    const GOptionEntry every[] = {
        {"clinic", 0, 0, G_OPTION_ARG_FILENAME, &options->clinic,
         "folder of clinic.yaml; looked for above the file when not said", "FOLDER"},
        {"now", 0, 0, G_OPTION_ARG_FILENAME, &options->now,
         "take this for the present, as 2026-11-24T09:30-04:00", "TIME"},
        {"format", 0, 0, G_OPTION_ARG_FILENAME, &options->format,
         "findings as text, lines (JSON Lines) or sarif; a plan as text, json or fhir (a Bundle of FHIR R4)",
         "FORMAT"},
        {"rest", 0, 0, G_OPTION_ARG_FILENAME, &options->rest,
         "of a bundle that stands in place of a patient's file: the keys that it cannot give", "FILE"},
        {"since", 0, 0, G_OPTION_ARG_FILENAME, &options->since,
         "of a review: what changed since an earlier one (its review.lines), or since a day", "FILE|DATE"},
        {"gate", 0, 0, G_OPTION_ARG_FILENAME, &options->gate,
         "of a review: exit status 1 when something stops, or also when something waits, or also when something "
         "ends soon", "stops|waits|ends"},
        {"out", 0, 0, G_OPTION_ARG_FILENAME, &options->out, "folder for what is written", "FOLDER"},
        {"by", 0, 0, G_OPTION_ARG_FILENAME, &options->by, "who approves", "NAME"},
        {"review-by", 0, 0, G_OPTION_ARG_FILENAME, &options->review_by, "last day before a new review", "DATE"},
        {G_OPTION_REMAINING, 0, 0, G_OPTION_ARG_FILENAME_ARRAY, &options->words, "", NULL},
        G_OPTION_ENTRY_NULL};
    const GOptionEntry drawing[] = {
        {"part", 0, 0, G_OPTION_ARG_FILENAME, &options->part,
         "of a roster only this part, as 3/16, where several machines share it", "PART"},
        {"jobs", 0, 0, G_OPTION_ARG_INT, &options->jobs, "how many sheets of a roster are drawn at a time", "N"},
        {"injection", 0, 0, G_OPTION_ARG_FILENAME, &options->injection, "only this injection", "NAME"},
        {"paper", 0, 0, G_OPTION_ARG_FILENAME, &options->paper, "A4 or Letter; the clinic's when not said",
         "SIZE"},
        {"large", 0, 0, G_OPTION_ARG_NONE, &options->large, "large print", NULL},
        {"draft", 0, 0, G_OPTION_ARG_NONE, &options->draft,
         "a marked draft of a protocol that is not approved", NULL},
        {"instead", 0, 0, G_OPTION_ARG_FILENAME, &options->instead,
         "of a lot that is called back: lot and expiry of the box handed out in its place", "'LOT EXPIRY'"},
        {"replace", 0, 0, G_OPTION_ARG_NONE, &options->replace,
         "in the place of the sheet of the same order that the record has", NULL},
        {"also", 0, 0, G_OPTION_ARG_FILENAME, &options->also,
         "the same sheet behind it in a second language, with the same step numbers and figures", "LANGUAGE"},
        {"code", 0, 0, G_OPTION_ARG_FILENAME, &options->code, "the code that was spoken, to compare", "CODE"},
        {"text", 0, 0, G_OPTION_ARG_NONE, &options->text, "also a plain text twin of each sheet", NULL},
        {"calendar", 0, 0, G_OPTION_ARG_NONE, &options->calendar,
         "also a calendar file with alarms for each sheet", NULL},
        {"watch", 0, 0, G_OPTION_ARG_NONE, &options->watch,
         "of a night: stay, and count down to the next injection", NULL},
        {"boxes", 0, 0, G_OPTION_ARG_NONE, &options->boxes,
         "also a list of what stands where on each sheet's pages", NULL},
        {"templates", 0, 0, G_OPTION_ARG_FILENAME, &options->templates,
         "folder of templates and phrase sets; the installed ones when not said", "FOLDER"},
        {"template", 0, 0, G_OPTION_ARG_FILENAME, &options->template_name,
         "name of the template; home-injection when not said", "NAME"},
        G_OPTION_ENTRY_NULL};
    g_autofree char *summary = g_strdup_printf("Example:\n  %s\n\n%s.", command->example, command->purpose);
    g_autofree char *name = g_strdup_printf("dosewright %s", command->name);
    g_set_prgname(name);
    g_autoptr(GOptionContext) context = g_option_context_new(command->words);
    g_option_context_set_summary(context, summary);
    g_option_context_add_main_entries(context, every, NULL);
    if (g_strcmp0(command->program, COMMANDS_PAPER) == 0)
        g_option_context_add_main_entries(context, drawing, NULL);
    else if (command->program)
        add_serving(context, options);
    return g_option_context_parse(context, argc, argv, error);
}

/* Words are taken as they come, whatever the locale says of their letters; GLib's own
 * reading of strings refuses an accent where the locale knows none. */
static gboolean words_are_text(const Options *options)
{
    const char *const texts[] = {options->now,   options->format, options->by,    options->review_by,
                                 options->paper, options->also,   options->code,  options->injection, options->gate,
                                 options->instead,
                                 options->template_name};
    for (gsize i = 0; i < G_N_ELEMENTS(texts); i++) {
        if (!texts[i])
            continue;
        gboolean fine = g_utf8_validate(texts[i], -1, NULL);
        for (const char *at = texts[i]; fine && *at; at = g_utf8_next_char(at))
            fine = !g_unichar_iscntrl(g_utf8_get_char(at));
        if (fine)
            continue;
        g_autoptr(GString) shown = g_string_new(NULL);
        source_escape(shown, texts[i], -1);
        commands_usage("\"%s\" is not plain text in UTF-8", shown->str);
        return FALSE;
    }
    return TRUE;
}

/* FALSE when the words of --now or --format are not understood. */
static gboolean settle(Session *session)
{
    if (!words_are_text(&session->options))
        return FALSE;
    if (session->options.by) /* a name as it is signed */
        g_strstrip(session->options.by);
    session->now = g_get_real_time() / G_USEC_PER_SEC;
    if (session->options.now) {
        LocalTime local;
        gboolean has_offset;
        MomentRead read = moment_parse(session->options.now, &local, &has_offset, &session->now);
        if (read.fault != MOMENT_FINE || !has_offset) {
            commands_usage("--now wants a time with its offset, as 2026-11-24T09:30-04:00");
            return FALSE;
        }
    }
    const char *format = session->options.format;
    session->format = g_strcmp0(format, "lines") == 0   ? FINDINGS_LINES
                      : g_strcmp0(format, "sarif") == 0 ? FINDINGS_SARIF
                                                        : FINDINGS_TEXT;
    session->all = diagnostics_new(session->arena);
    if (format && !g_strv_contains((const char *const[]){"text", "lines", "sarif", "json", "fhir", NULL}, format)) {
        commands_usage("--format is text, lines, sarif, json or fhir");
        return FALSE;
    }
    session->loader = loader_new(session->arena, session->options.clinic);
    session->alike = alike_new();
    arena_defer(session->arena, (GDestroyNotify)g_hash_table_unref, session->alike);
    return TRUE;
}

int commands_paper(const Session *session, const Clinic *clinic, Paper *paper)
{
    const char *word = session->options.paper;
    *paper = clinic && PRESENT(clinic->paper) ? clinic->paper.value : Paper_A4;
    if (!word)
        return EXIT_FINE;
    *paper = g_ascii_strcasecmp(word, choice_word(Paper_LETTER)) == 0 ? Paper_LETTER : Paper_A4;
    return g_ascii_strcasecmp(word, choice_word(*paper)) == 0 ? EXIT_FINE : commands_usage("--paper is A4 or Letter");
}

const char *commands_version(void) { return PROGRAM_VERSION; }

/* What this program runs for the command; NULL when another one has it. */
static CommandFunction function_of(const Command *command, const PaperCommands *paper)
{
    if (command->run || !paper)
        return command->run;
    const struct { const char *name; CommandFunction run; } drawing[] = {
        {"sheet", paper->sheet}, {"read", paper->read}, {"review", paper->review}, {"rule-book", paper->rule_book},
        {"letters", paper->letters}, {"day", paper->day}, {"move", paper->move},
        {"recall", paper->recall}, {"night", paper->night}, {"find", paper->find}, {"desk", paper->desk},
        {"people", paper->people}};
    for (gsize i = 0; i < G_N_ELEMENTS(drawing); i++)
        if (strcmp(drawing[i].name, command->name) == 0)
            return drawing[i].run;
    g_assert_not_reached();
}

/* How many words at most may follow, of the ways to say it the one that begins with this word; every way
 * whose first word is the user's own begins with any. */
static guint most_words(const Command *command, const char *first)
{
    guint most = 0;
    gboolean known = FALSE;
    g_auto(GStrv) ways = g_strsplit(command->words, " | ", -1);
    for (char **way = ways; *way; way++) {
        g_auto(GStrv) words = g_strsplit(*way, " ", -1);
        if (g_ascii_islower(**words) && ways[1] && strcmp(words[0], first) != 0)
            continue;
        known = TRUE;
        most = MAX(most, strstr(*way, "...") ? G_MAXUINT : g_strv_length(words));
    }
    return known || !*ways ? most : G_MAXUINT; /* what is no way of it the command refuses itself */
}

/* A word that nobody looks at is a mistake of whoever typed it: a file left out, a name without its quotes. */
static gboolean words_are_wanted(const Command *command, char **words)
{
    guint count = words ? g_strv_length(words) : 0, most = count > 0 ? most_words(command, words[0]) : 0;
    if (count <= most)
        return TRUE;
    commands_usage("\"%s\" is a word too many for \"%s\", which takes %s, as: %s", words[most], command->name,
                   *command->words ? command->words : "none", command->example);
    return FALSE;
}

static int run_command(const Command *command, int argc, char **argv, CommandFunction run)
{
    Session session = {.arena = arena_new()};
    GError *error = NULL;
    int status;
    if (!parse_options(command, &argc, &argv, &session.options, &error)) {
        status = commands_usage("%s", error->message);
        g_error_free(error);
    } else if (!settle(&session) || !words_are_wanted(command, session.options.words)) {
        status = EXIT_USAGE;
    } else {
        doors_close(&session, command->doors);
        status = run(&session);
    }
    if (session.format == FINDINGS_SARIF && status <= EXIT_FINDINGS) {
        g_autoptr(GString) log = g_string_new(NULL);
        diagnostics_print_sarif(session.all, PROGRAM_VERSION, log);
        fputs(log->str, stdout);
    }
    if (fflush(stdout) != 0 || ferror(stdout)) {
        terminal_say(stderr, "dosewright: cannot write to standard output: %s\n", g_strerror(errno));
        status = EXIT_SYSTEM;
    }
    g_strfreev(session.options.words);
    arena_free(session.arena);
    return status;
}

int commands_main(int argc, char **argv, const PaperCommands *paper)
{
    settle_process();
    g_set_prgname("dosewright");
    if (argc < 2)
        return commands_usage("name a command");
    const char *word = argv[1];
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0 || strcmp(word, "help") == 0) {
        print_help(stdout);
        return EXIT_FINE;
    }
    if (strcmp(word, "--version") == 0) {
        terminal_say(stdout, "dosewright %s\nclosed while it works: %s\n", PROGRAM_VERSION, confine_held());
        return EXIT_FINE;
    }
    const Command *command = command_named(word);
    if (!command)
        return unknown_command(word);
    CommandFunction run = function_of(command, paper);
    return run ? run_command(command, argc - 1, argv + 1, run) : become(command->program, argv);
}
