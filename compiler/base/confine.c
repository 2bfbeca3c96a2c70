/* confine: see confine.h.  Both are asked by the kernel's own numbers: glibc has no function for
 * Landlock, and libseccomp takes 0.2 ms to write down a list as long as this one. */
#define _GNU_SOURCE /* O_PATH, dl_iterate_phdr */
#include "base/confine.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/landlock.h>
#include <linux/seccomp.h>
#include <link.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include "base/stack.h"

#if SANITIZED || defined(DOSEWRIGHT_OPEN)
#define STAYS_OPEN 1
#else
#define STAYS_OPEN 0
#endif

static gboolean closed;

/* ---- files ---- */

/* Later than the headers of Debian 12; Linux's include/uapi/linux/landlock.h and its
 * documentation (userspace-api/landlock.rst) say which version brought what. */
#define MAY_TRUNCATE (1ULL << 14)  /* 3 */
#define MAY_CONTROL (1ULL << 15)   /* 5: ioctl of a device */
#define TCP_BIND_CONNECT 3ULL      /* 4 */
#define SCOPE_SOCKET_SIGNAL 3ULL   /* 6 */

#define MAY_LIST ((guint64)LANDLOCK_ACCESS_FS_READ_DIR)
#define MAY_READ (MAY_LIST | LANDLOCK_ACCESS_FS_READ_FILE)
#define MAY_WRITE (MAY_READ | LANDLOCK_ACCESS_FS_WRITE_FILE | LANDLOCK_ACCESS_FS_REMOVE_FILE | \
                   LANDLOCK_ACCESS_FS_MAKE_DIR | LANDLOCK_ACCESS_FS_MAKE_REG | MAY_TRUNCATE)
#define MAY_RUN (LANDLOCK_ACCESS_FS_EXECUTE | LANDLOCK_ACCESS_FS_READ_FILE)
/* Of these a single file can have some. */
#define OF_A_FILE (LANDLOCK_ACCESS_FS_EXECUTE | LANDLOCK_ACCESS_FS_WRITE_FILE | LANDLOCK_ACCESS_FS_READ_FILE | \
                   MAY_TRUNCATE | MAY_CONTROL)
#define FIRST_VERSION ((LANDLOCK_ACCESS_FS_MAKE_SYM << 1) - 1)

typedef struct Handled {
    guint64 files, network, scope;
} Handled;

struct Confine {
    GArray *rules; /* of Rule */
};

typedef struct Rule {
    int place;
    guint64 rights;
} Rule;

static int landlock_version(void)
{
    long version = syscall(SYS_landlock_create_ruleset, NULL, (size_t)0, LANDLOCK_CREATE_RULESET_VERSION);
    return version > 0 ? (int)version : 0;
}

Confine *confine_new(void)
{
    Confine *confine = g_new0(Confine, 1);
    confine->rules = g_array_new(FALSE, FALSE, sizeof(Rule));
    return confine;
}

static gboolean allow(Confine *confine, const char *path, guint64 rights)
{
    struct stat there;
    const Rule rule = {open(path, O_PATH | O_CLOEXEC), 0};
    if (rule.place < 0 || fstat(rule.place, &there) != 0)
        return FALSE;
    const Rule whole = {rule.place, S_ISDIR(there.st_mode) ? rights : rights & OF_A_FILE};
    g_array_append_val(confine->rules, whole);
    return TRUE;
}

void confine_read(Confine *confine, const char *path) { allow(confine, path, MAY_READ); }

void confine_list(Confine *confine, const char *folder) { allow(confine, folder, MAY_LIST); }

void confine_write(Confine *confine, const char *folder)
{
    g_autofree char *above = g_canonicalize_filename(folder, NULL);
    while (!allow(confine, above, MAY_WRITE) && strcmp(above, "/") != 0) {
        char *up = g_path_get_dirname(above);
        g_free(above);
        above = up;
    }
}

static int find_loader(struct dl_phdr_info *part, size_t size, void *data)
{
    (void)size;
    for (int i = 0; i < part->dlpi_phnum; i++)
        if (part->dlpi_phdr[i].p_type == PT_INTERP)
            allow(data, (const char *)(part->dlpi_addr + part->dlpi_phdr[i].p_vaddr), MAY_RUN);
    return 1; /* the first is the program itself */
}

void confine_run(Confine *confine, const char *program)
{
    allow(confine, program, MAY_RUN);
    dl_iterate_phdr(find_loader, confine);
}

void confine_read_system(Confine *confine)
{
    static const char *const places[] = {
        "/usr/lib", "/usr/lib32", "/usr/lib64", "/lib", "/lib32", "/lib64", "/usr/local/lib", "/etc/ld.so.cache",
        "/usr/share", "/usr/local/share", "/etc/fonts", "/var/cache/fontconfig", "/dev/urandom"};
    for (gsize i = 0; i < G_N_ELEMENTS(places); i++)
        confine_read(confine, places[i]);
    allow(confine, "/dev/null", MAY_WRITE);
}

static void close_files(const Confine *confine, int version, unsigned calls)
{
    const gboolean tcp = version >= 4 && !(calls & CONFINE_NETWORK);
    const Handled handled = {
        FIRST_VERSION | (version >= 2 ? LANDLOCK_ACCESS_FS_REFER : 0) | (version >= 3 ? MAY_TRUNCATE : 0) |
            (version >= 5 ? MAY_CONTROL : 0),
        tcp ? TCP_BIND_CONNECT : 0, version >= 6 ? SCOPE_SOCKET_SIGNAL : 0};
    const gsize size = version >= 6 ? sizeof handled : version >= 4 ? offsetof(Handled, scope)
                                                                     : offsetof(Handled, network);
    const int set = (int)syscall(SYS_landlock_create_ruleset, &handled, size, 0u);
    if (set < 0)
        return;
    for (guint i = 0; i < confine->rules->len; i++) {
        const Rule *rule = &g_array_index(confine->rules, Rule, i);
        const struct landlock_path_beneath_attr below = {rule->rights & handled.files, rule->place};
        syscall(SYS_landlock_add_rule, set, LANDLOCK_RULE_PATH_BENEATH, &below, 0u);
    }
    closed |= syscall(SYS_landlock_restrict_self, set, 0u) == 0;
    close(set);
}

/* ---- calls ---- */

#if defined(__x86_64__) && defined(__LP64__)
#define MACHINE AUDIT_ARCH_X86_64
#elif defined(__i386__)
#define MACHINE AUDIT_ARCH_I386
#elif defined(__aarch64__)
#define MACHINE (__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__ ? AUDIT_ARCH_AARCH64 : 0)
#elif defined(__arm__)
#define MACHINE AUDIT_ARCH_ARM
#elif defined(__s390x__)
#define MACHINE AUDIT_ARCH_S390X
#elif defined(__powerpc64__)
#define MACHINE (__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__ ? AUDIT_ARCH_PPC64LE : AUDIT_ARCH_PPC64)
#elif defined(__riscv) && __riscv_xlen == 64
#define MACHINE AUDIT_ARCH_RISCV64
#else
#define MACHINE 0 /* whose numbers we do not know: calls stay open */
#endif

typedef enum Group { GROUP_REFUSED, GROUP_NETWORK, GROUP_START, GROUP_READER } Group;

typedef struct Call {
    const char *number; /* "165", "(0+165)"; "SYS_name" where the machine has no such call */
    Group group;
} Call;

static guint number_of(const char *written)
{
    const char *plus = strrchr(written, '+');
    return (guint)strtoul(plus ? plus + 1 : written, NULL, 10);
}

#define NAMESPACES 0x7e020000u /* CLONE_NEWNS, NEWCGROUP, NEWUTS, NEWIPC, NEWUSER, NEWPID, NEWNET */
#define THREAD 0x00010000u     /* CLONE_THREAD */
#ifdef __s390x__
#define CLONE_FLAGS 1 /* which argument of clone: man 2 clone */
#else
#define CLONE_FLAGS 0
#endif
#define OTHER_NUMBERS 0x40000000u /* x32 on x86-64 */

#define FILTER_MOST 512

typedef struct Filter {
    struct sock_filter code[FILTER_MOST];
    gushort length;
} Filter;

static void put(Filter *filter, struct sock_filter one)
{
    g_assert(filter->length < FILTER_MOST);
    filter->code[filter->length++] = one;
}

static void load(Filter *filter, gsize offset)
{
    put(filter, (struct sock_filter)BPF_STMT(BPF_LD | BPF_W | BPF_ABS, (guint)offset));
}

/* The lower half of an argument of the call. */
static void load_argument(Filter *filter, int number)
{
    load(filter, offsetof(struct seccomp_data, args) + 8 * (gsize)number + (G_BYTE_ORDER == G_BIG_ENDIAN ? 4 : 0));
}

static void end(Filter *filter, guint what) { put(filter, (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, what)); }

#define REFUSE(error) (SECCOMP_RET_ERRNO | (error))

/* What is loaded is compared; where it is so, the call ends so. */
static void end_when(Filter *filter, gushort compare, guint with, guint what)
{
    put(filter, (struct sock_filter)BPF_JUMP(BPF_JMP | compare | BPF_K, with, 0, 1));
    end(filter, what);
}

/* The call goes past so many instructions unless it is this one. */
static void unless(Filter *filter, int number, guchar past)
{
    put(filter, (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (guint)number, 0, past));
}

static void put_group(Filter *filter, Group group, guint what)
{
#define REFUSED(name) {G_STRINGIFY(SYS_##name), GROUP_REFUSED},
#define NETWORK(name) {G_STRINGIFY(SYS_##name), GROUP_NETWORK},
#define START(name) {G_STRINGIFY(SYS_##name), GROUP_START},
#define READER(name) {G_STRINGIFY(SYS_##name), GROUP_READER},
    static const Call calls[] = {
#include "base/confine.def"
    };
    for (gsize i = 0; i < G_N_ELEMENTS(calls); i++)
        if (calls[i].group == group && !g_str_has_prefix(calls[i].number, "SYS_"))
            end_when(filter, BPF_JEQ, number_of(calls[i].number), what);
}

/* A call that is allowed for some of its arguments only. */
static void put_arguments(Filter *filter, gboolean threads_only)
{
    static const guint domains[] = {AF_UNIX, AF_INET, AF_INET6, AF_NETLINK}; /* the last asks for addresses */
    unless(filter, SYS_socket, 2 + 2 * G_N_ELEMENTS(domains));
    load_argument(filter, 0);
    for (gsize i = 0; i < G_N_ELEMENTS(domains); i++)
        end_when(filter, BPF_JEQ, domains[i], SECCOMP_RET_ALLOW);
    end(filter, REFUSE(EPERM));
    unless(filter, SYS_clone, 6);
    load_argument(filter, CLONE_FLAGS);
    end_when(filter, BPF_JSET, NAMESPACES, REFUSE(EPERM));
    end_when(filter, BPF_JSET, THREAD, SECCOMP_RET_ALLOW);
    end(filter, threads_only ? REFUSE(EPERM) : SECCOMP_RET_ALLOW);
    unless(filter, SYS_ioctl, 4); /* nothing is typed into the terminal */
    load_argument(filter, 1);
    end_when(filter, BPF_JEQ, TIOCSTI, REFUSE(EPERM));
    end(filter, SECCOMP_RET_ALLOW);
}

static void close_calls(unsigned calls)
{
    g_autofree Filter *filter = g_new0(Filter, 1);
    load(filter, offsetof(struct seccomp_data, arch));
    put(filter, (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, MACHINE, 1, 0));
    end(filter, REFUSE(ENOSYS));
    load(filter, offsetof(struct seccomp_data, nr));
    end_when(filter, BPF_JGE, OTHER_NUMBERS, REFUSE(ENOSYS));
    put_group(filter, GROUP_REFUSED, REFUSE(EPERM));
    if (!(calls & CONFINE_NETWORK))
        put_group(filter, GROUP_NETWORK, REFUSE(EPERM));
    if (!(calls & CONFINE_START))
        put_group(filter, GROUP_START, REFUSE(EPERM));
    end_when(filter, BPF_JEQ, SYS_clone3, REFUSE(ENOSYS)); /* its flags cannot be seen; glibc then takes clone */
    put_arguments(filter, (calls & CONFINE_READER) != 0);
    if (calls & CONFINE_READER)
        put_group(filter, GROUP_READER, SECCOMP_RET_ALLOW);
    end(filter, calls & CONFINE_READER ? REFUSE(ENOSYS) : SECCOMP_RET_ALLOW);
    const struct sock_fprog program = {filter->length, filter->code};
    closed |= prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}

/* ---- both ---- */

void confine_close(Confine *confine, unsigned calls)
{
    const int version = STAYS_OPEN ? 0 : landlock_version();
    if (!STAYS_OPEN && prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0) {
        if (version > 0)
            close_files(confine, version, calls);
        if (MACHINE)
            close_calls(calls);
    }
    for (guint i = 0; i < confine->rules->len; i++)
        close(g_array_index(confine->rules, Rule, i).place);
    g_array_unref(confine->rules);
    g_free(confine);
}

gboolean confine_closed(void) { return closed; }

const char *confine_held(void)
{
    static char said[80];
    const int version = STAYS_OPEN ? 0 : landlock_version();
    const gboolean calls = !STAYS_OPEN && MACHINE && prctl(PR_GET_SECCOMP) >= 0;
    g_autofree char *files = version ? g_strdup_printf("files by Landlock %d", version) : g_strdup("files are not");
    g_snprintf(said, sizeof said, "%s, calls %s", files, calls ? "by seccomp" : "are not");
    return said;
}
