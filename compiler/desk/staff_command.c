/* desk_staff_command: "dosewright people": who may sign in at the desk. */
#include <stdio.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "desk/desk.h"
#include "desk/staff.h"

#define NAME_MOST 100 /* bytes */

/* The command while it runs. */
typedef struct Job {
    Session *session;
    Case file; /* the clinic */
    Staff *staff;
    const char *name; /* NULL: of "list" */
} Job;

/* ---- the password ---- */

/* A line without its end; the caller frees it.  NULL at the end of the input. */
static char *read_line(void)
{
    g_autofree char *line = NULL;
    gsize size = 0;
    ssize_t got = getline(&line, &size, stdin);
    if (got < 0)
        return NULL;
    return g_strndup(line, (gsize)got - (got > 0 && line[got - 1] == '\n'));
}

/* From a terminal without showing it. */
static char *ask_secret(const char *question)
{
    struct termios was, hidden;
    if (tcgetattr(STDIN_FILENO, &was) != 0)
        return read_line();
    hidden = was;
    hidden.c_lflag &= ~(tcflag_t)ECHO;
    terminal_say(stderr, "%s: ", question);
    tcsetattr(STDIN_FILENO, TCSAFLUSH, &hidden);
    char *secret = read_line();
    tcsetattr(STDIN_FILENO, TCSAFLUSH, &was);
    terminal_say(stderr, "\n");
    return secret;
}

/* The hash of a new password, or NULL with *status, said. */
static char *new_hash(const char *name, int *status)
{
    GError *error = NULL;
    g_autofree char *password = ask_secret("password"), *again = NULL;
    const char *fault = password ? password_fault(password, name) : "no password was typed";
    if (!fault && isatty(STDIN_FILENO)) {
        again = ask_secret("the same again");
        fault = g_strcmp0(password, again) == 0 ? NULL : "the two passwords differ";
    }
    if (fault) {
        *status = commands_usage("%s", fault);
        return NULL;
    }
    char *hash = password_hash(password, &error);
    if (!hash)
        *status = commands_system_error(error);
    return hash;
}

/* ---- who may have a role ---- */

static gboolean is_among(const GPtrArray *names, const char *name)
{
    for (guint i = 0; names && i < names->len; i++) {
        const Text *one = g_ptr_array_index(names, i);
        if (PRESENT(*one) && strcmp(one->text, name) == 0)
            return TRUE;
    }
    return FALSE;
}

/* The roles of --role; 0 with *status, said.  A nurse and a physician are so in clinic.yaml too,
 * since their names stand beside what they prepare and accept. */
static Roles roles_asked(const Job *job, int *status)
{
    const Governance *people = &job->file.clinic->governance;
    Roles roles = 0;
    for (char **word = job->session->options.roles; word && *word; word++) {
        Roles role = role_of(*word);
        roles |= role;
        if (role)
            continue;
        g_autofree char *all = roles_words(ROLES_ALL, ", ");
        *status = commands_usage("there is no role \"%s\"; there are %s", *word, all);
        return 0;
    }
    if (!roles)
        *status = commands_usage("say with --role what they do at the desk");
    else if ((roles & ROLE_NURSE) && !is_among(people->nurses.items, job->name))
        *status = commands_usage("\"%s\" is not among the nurses under \"governance\" in clinic.yaml", job->name);
    else if ((roles & ROLE_PHYSICIAN) && !is_among(people->physicians.items, job->name))
        *status = commands_usage("\"%s\" is not among the physicians under \"governance\" in clinic.yaml", job->name);
    else
        return roles;
    return 0;
}

/* ---- what is asked ---- */

static int write_people(const Job *job, const char *said)
{
    GError *error = NULL;
    if (!staff_write(job->staff, job->file.folder, &error))
        return commands_system_error(error);
    terminal_say(stdout, "%s: %s\n", job->name, said);
    return EXIT_FINE;
}

static int list(Job *job)
{
    for (guint i = 0; i < staff_count(job->staff); i++) {
        const Named *named = staff_nth(job->staff, i);
        g_autofree char *words = roles_words(named->roles, ", ");
        terminal_say(stdout, "%s: %s\n", named->name, words);
    }
    if (staff_count(job->staff) == 0)
        terminal_say(stdout, "nobody has a password yet; the desk serves 127.0.0.1 alone, and believes who is there\n");
    return EXIT_FINE;
}

static int add(Job *job)
{
    int status = EXIT_USAGE;
    if (staff_find(job->staff, job->name))
        return commands_usage("there is a \"%s\" already; \"people roles\" and \"people password\" change them",
                              job->name);
    Roles roles = roles_asked(job, &status);
    g_autofree char *hash = roles ? new_hash(job->name, &status) : NULL;
    if (!hash)
        return status;
    staff_put(job->staff, job->name, roles, hash);
    return write_people(job, "added");
}

static int change_roles(Job *job)
{
    int status = EXIT_USAGE;
    Roles roles = roles_asked(job, &status);
    if (!roles)
        return status;
    staff_put(job->staff, job->name, roles, NULL);
    return write_people(job, "roles changed");
}

static int change_password(Job *job)
{
    int status = EXIT_USAGE;
    g_autofree char *hash = new_hash(job->name, &status);
    if (!hash)
        return status;
    staff_put(job->staff, job->name, 0, hash);
    return write_people(job, "password changed; whoever was signed in so is signed out");
}

static int take_out(Job *job)
{
    staff_remove(job->staff, job->name);
    return write_people(job, "removed; whoever was signed in so is signed out");
}

static const struct {
    const char *word;
    gboolean named, there; /* a name follows; of somebody who is there */
    int (*run)(Job *job);
} actions[] = {
    {"list", FALSE, FALSE, list},
    {"add", TRUE, FALSE, add},
    {"roles", TRUE, TRUE, change_roles},
    {"password", TRUE, TRUE, change_password},
    {"remove", TRUE, TRUE, take_out},
};

static gboolean is_name(const char *name)
{
    gboolean fine = *name && strlen(name) <= NAME_MOST && g_utf8_validate(name, -1, NULL) && !g_ascii_isspace(*name) &&
                    !g_ascii_isspace(name[strlen(name) - 1]);
    for (const char *at = name; fine && *at; at = g_utf8_next_char(at))
        fine = !g_unichar_iscntrl(g_utf8_get_char(at));
    return fine;
}

/* One change after the other: the file is read within the turn in which it is written. */
static int act(Job *job, int (*run)(Job *), gboolean there)
{
    GError *error = NULL;
    int turn = publish_turn(job->file.folder), status;
    job->staff = staff_read(job->file.folder, &error);
    if (!job->staff)
        status = commands_system_error(error);
    else if (there && !staff_find(job->staff, job->name))
        status = commands_usage("nobody is called \"%s\"; see \"dosewright people list\"", job->name);
    else
        status = run(job);
    staff_free(job->staff);
    if (turn >= 0)
        close(turn);
    return status;
}

int command_people(Session *session)
{
    Job job = {.session = session};
    char **words = session->options.words;
    guint count = words ? g_strv_length(words) : 0;
    for (gsize i = 0; count > 0 && i < G_N_ELEMENTS(actions); i++) {
        if (strcmp(words[0], actions[i].word) != 0 || count != 1u + actions[i].named)
            continue;
        job.name = actions[i].named ? words[1] : NULL;
        if (job.name && !is_name(job.name))
            return commands_usage("a name is one line of at most %d letters", NAME_MOST);
        int status = commands_clinic(session, &job.file);
        return status == EXIT_FINE ? act(&job, actions[i].run, actions[i].there) : status;
    }
    return commands_usage("say list, add NAME, roles NAME, password NAME or remove NAME");
}
