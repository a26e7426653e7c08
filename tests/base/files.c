#include "rabbet/base.h"

#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

/* Every test works in a folder of its own; each runs in its own process. */
static char folder[64];

static void enter_folder(void)
{
    strcpy(folder, "/tmp/rabbet-files-XXXXXX");
    cr_assert(ne(ptr, mkdtemp(folder), NULL));
    cr_assert(chdir(folder) == 0);
}

static int remove_one(const char *path, const struct stat *status, int kind, struct FTW *place)
{
    (void)status, (void)kind, (void)place;
    return remove(path);
}

static void leave_folder(void)
{
    cr_assert(chdir("/") == 0);
    cr_expect(nftw(folder, remove_one, 16, FTW_DEPTH | FTW_PHYS) == 0);
}

TestSuite(files, .init = enter_folder, .fini = leave_folder);

static void put(const char *path, const char *words)
{
    FILE *file = fopen(path, "w");

    cr_assert(ne(ptr, file, NULL));
    cr_assert(fputs(words, file) >= 0);
    cr_assert(fclose(file) == 0);
}

static void expect_content(const char *path, const char *words)
{
    struct rab_text text = {0};
    struct rab_error err = {0};

    cr_assert(rab_file_read(path, 1 << 20, &text, &err), "%s", err.text);
    cr_expect(strcmp(text.data, words) == 0, "%s holds %s", path, text.data);
    rab_text_clear(&text);
}

static int entries(const char *path)
{
    DIR *dir = opendir(path);
    int count = -2; /* . and .. */

    cr_assert(ne(ptr, dir, NULL));
    while (readdir(dir))
        count++;
    closedir(dir);
    return count;
}

/* Root may write everywhere; nobody may not. */
static void become_nobody(void)
{
    if (geteuid() == 0)
        cr_assert(seteuid(65534) == 0);
}

static void become_oneself(void)
{
    if (getuid() == 0)
        cr_assert(seteuid(0) == 0);
}

/* ---- reading ---- */

static void expect_unread(const char *path, size_t limit, const char *reason)
{
    struct rab_text text = {0};
    struct rab_error err = {0};
    size_t length = strlen(path);

    cr_expect(not(rab_file_read(path, limit, &text, &err)), "%s", path);
    cr_expect(err.fault == RAB_FAULT_FILE && strstr(err.text, reason), "%s", err.text);
    cr_expect(strncmp(err.text, path, length) == 0 && err.text[length] == ':', "%s", err.text);
    cr_expect(text.data == NULL && text.length == 0);
}

Test(files, reads_all_bytes_up_to_the_limit)
{
    static const char bytes[] = "a\0b\xff\n";
    struct rab_text text = {0};
    struct rab_error err = {0};
    FILE *file = fopen("bytes", "w");

    cr_assert(ne(ptr, file, NULL));
    for (int i = 0; i < 50000; i++)
        fwrite(bytes, 1, 5, file);
    fclose(file);
    cr_assert(rab_file_read("bytes", 250000, &text, &err), "%s", err.text);
    cr_assert(text.length == 250000 && text.data[250000] == '\0');
    cr_expect(memcmp(text.data + 249995, bytes, 5) == 0);
    rab_text_clear(&text);
    expect_unread("bytes", 249999, "larger than 249999 bytes");
    put("empty", "");
    cr_assert(rab_file_read("empty", 0, &text, &err), "%s", err.text);
    cr_expect(text.length == 0 && text.data && text.data[0] == '\0');
    rab_text_clear(&text);
    cr_assert(symlink("bytes", "link") == 0);
    cr_assert(rab_file_read("link", 250000, &text, &err), "%s", err.text);
    cr_expect(text.length == 250000);
    rab_text_clear(&text);
}

/* Files of /proc state no size; only reading tells. */
Test(files, the_limit_holds_whatever_size_is_stated)
{
    struct rab_text text = {0};
    struct rab_error err = {0};

    expect_unread("/proc/self/status", 10, "larger than 10 bytes");
    cr_assert(rab_file_read("/proc/self/status", 1 << 20, &text, &err), "%s", err.text);
    cr_expect(text.length > 10 && text.data[text.length] == '\0');
    rab_text_clear(&text);
}

Test(files, only_regular_files_are_read_and_nothing_waits)
{
    struct sockaddr_un address = {.sun_family = AF_UNIX, .sun_path = "socket"};
    int ear = socket(AF_UNIX, SOCK_STREAM, 0);

    cr_assert(mkdir("album", 0755) == 0 && mkfifo("pipe", 0644) == 0);
    cr_assert(bind(ear, (const struct sockaddr *)&address, sizeof address) == 0);
    put("frame.svg", "<svg/>");
    cr_assert(symlink("loop", "loop") == 0);
    expect_unread("missing.svg", 100, "no such file");
    expect_unread("missing/frame.svg", 100, "no such file");
    expect_unread("frame.svg/frame.svg", 100, "no such file");
    expect_unread("album", 100, "is a folder");
    expect_unread("album/", 100, "is a folder");
    expect_unread("pipe", 100, "is a device or a pipe"); /* would wait for a writer */
    expect_unread("socket", 100, "is a device or a pipe");
    expect_unread("/dev/null", 100, "is a device or a pipe");
    expect_unread("/dev/zero", 100, "is a device or a pipe");
    expect_unread("loop", 100, "cannot be read (Too many levels of symbolic links)");
    expect_unread("", 100, "no such file");
    cr_assert(chmod("frame.svg", 0) == 0);
    cr_assert(chmod(".", 0755) == 0);
    become_nobody();
    expect_unread("frame.svg", 100, "may not be read");
    become_oneself();
    close(ear);
}

Test(files, of_a_long_path_the_end_is_shown_and_the_reason_kept)
{
    char path[3001];
    struct rab_error err = {0};
    struct rab_text text = {0};

    for (size_t i = 0; i < 3000; i++)
        path[i] = "folder\xc3\xbc/"[i % 9];
    path[3000] = '\0';
    cr_expect(not(rab_file_read(path, 100, &text, &err)));
    cr_expect(strncmp(err.text, "...", 3) == 0 && strstr(err.text, ": no such file;") &&
                  strchr(err.text, '?') == NULL,
              "%s", err.text);
}

/* ---- writing ---- */

static void add(struct rab_outputs *outputs, const char *path, const char *words)
{
    struct rab_text text = {0};
    struct rab_error err = {0};

    rab_text_add(&text, words);
    cr_assert(rab_outputs_add(outputs, path, &text, &err), "%s", err.text);
    cr_assert(text.data == NULL && text.length == 0);
}

/* Writes "new" to good.svg (which is there, "old") and to a path that cannot be written. */
static void expect_unwritten(const char *bad, const char *reason)
{
    static const char *const orders[][2] = {{"good.svg", NULL}, {NULL, "good.svg"}};
    int before = entries(".");

    for (int i = 0; i < 2; i++) {
        struct rab_outputs outputs = {0};
        struct rab_error err = {0};

        for (int k = 0; k < 2; k++)
            add(&outputs, orders[i][k] ? orders[i][k] : bad, "new");
        cr_expect(not(rab_outputs_commit(&outputs, &err)), "%s", bad);
        cr_expect(err.fault == RAB_FAULT_FILE && strstr(err.text, reason), "%s", err.text);
        cr_expect(strncmp(err.text, bad, strlen(bad)) == 0, "%s", err.text);
        rab_outputs_clear(&outputs);
        expect_content("good.svg", "old");
        cr_expect(entries(".") == before, "something was left behind");
    }
}

Test(files, outputs_appear_with_their_bytes)
{
    struct rab_outputs outputs = {0};
    struct rab_error err = {0};
    char big[300000];

    memset(big, 'x', sizeof big - 1);
    big[sizeof big - 1] = '\0';
    cr_assert(mkdir("album", 0755) == 0);
    put("backs.dxf", "old");
    add(&outputs, "backs.svg", "one");
    add(&outputs, "backs.dxf", big);
    add(&outputs, "./album/backs.svg", "");
    cr_assert(entries(".") == 2); /* nothing yet */
    cr_assert(rab_outputs_commit(&outputs, &err), "%s", err.text);
    rab_outputs_clear(&outputs);
    rab_outputs_clear(&outputs);
    expect_content("backs.svg", "one");
    expect_content("backs.dxf", big);
    expect_content("album/backs.svg", "");
    cr_expect(entries(".") == 3 && entries("album") == 1);
}

Test(files, when_one_cannot_be_written_none_is)
{
    put("good.svg", "old");
    cr_assert(mkdir("album", 0755) == 0 && mkfifo("pipe", 0644) == 0);
    cr_assert(symlink("/dev/full", "full") == 0);
    expect_unwritten("missing/backs.svg", "its folder does not exist");
    expect_unwritten("good.svg/backs.svg", "its folder does not exist");
    expect_unwritten("album", "is a folder");
    expect_unwritten("album/", "names a folder");
    expect_unwritten("pipe", "is a device or a pipe and is not replaced");
    expect_unwritten("full", "is a device or a pipe and is not replaced");
    expect_unwritten("/dev/null", "is a device or a pipe and is not replaced");
}

Test(files, a_folder_without_the_right_to_write)
{
    put("good.svg", "old");
    cr_assert(chmod(".", 0777) == 0 && mkdir("locked", 0555) == 0);
    cr_assert(chmod("good.svg", 0666) == 0);
    put("kept.svg", "old");
    cr_assert(chmod("kept.svg", 0444) == 0);
    become_nobody();
    expect_unwritten("locked/backs.svg", "cannot be written (Permission denied); choose a folder");
    expect_unwritten("kept.svg", "is write-protected");
    become_oneself();
}

/* A limit on the size of files stands for a full disk: writing stops in the middle. */
Test(files, a_disk_that_fills_up_leaves_the_old_files)
{
    struct rlimit limit = {100000, 100000};
    struct rab_outputs outputs = {0};
    struct rab_error err = {0};
    char big[300000];

    memset(big, 'x', sizeof big - 1);
    big[sizeof big - 1] = '\0';
    put("first.svg", "old");
    put("second.svg", "old");
    add(&outputs, "first.svg", "new");
    add(&outputs, "second.svg", big);
    cr_assert(signal(SIGXFSZ, SIG_IGN) != SIG_ERR);
    cr_assert(setrlimit(RLIMIT_FSIZE, &limit) == 0);
    cr_expect(not(rab_outputs_commit(&outputs, &err)));
    cr_expect(strcmp(err.text, "second.svg: cannot be written (File too large); "
                               "make room or choose another disk") == 0,
              "%s", err.text);
    rab_outputs_clear(&outputs);
    expect_content("first.svg", "old");
    expect_content("second.svg", "old");
    cr_expect(entries(".") == 2);
}

Test(files, rights_follow_the_mask_or_the_file_replaced)
{
    struct rab_outputs outputs = {0};
    struct rab_error err = {0};
    struct stat status;

    umask(027);
    put("private.svg", "old");
    cr_assert(chmod("private.svg", 0600) == 0);
    cr_assert(symlink("private.svg", "link.svg") == 0);
    cr_assert(symlink("nowhere", "dangling.svg") == 0);
    add(&outputs, "new.svg", "new");
    add(&outputs, "private.svg", "new");
    add(&outputs, "link.svg", "beside");
    add(&outputs, "dangling.svg", "new");
    cr_assert(rab_outputs_commit(&outputs, &err), "%s", err.text);
    rab_outputs_clear(&outputs);
    cr_expect(stat("new.svg", &status) == 0 && (status.st_mode & 07777) == 0640);
    cr_expect(stat("private.svg", &status) == 0 && (status.st_mode & 07777) == 0600);
    cr_expect(lstat("link.svg", &status) == 0 && S_ISREG(status.st_mode));
    expect_content("private.svg", "new"); /* the link was replaced, not what it led to */
    expect_content("link.svg", "beside");
    expect_content("dangling.svg", "new");
}

/* The longest name a Linux file system takes is 255 bytes (NAME_MAX, limits.h). */
Test(files, the_longest_names_and_a_taken_temporary_name)
{
    struct rab_outputs outputs = {0};
    struct rab_error err = {0};
    char name[257];

    memset(name, 'n', 256);
    name[256] = '\0';
    add(&outputs, name + 1, "long");
    add(&outputs, "backs.svg", "new");
    put(".backs.svg.0.part", "somebody else's");
    cr_assert(symlink("elsewhere", ".backs.svg.1.part") == 0);
    cr_assert(rab_outputs_commit(&outputs, &err), "%s", err.text);
    rab_outputs_clear(&outputs);
    expect_content(name + 1, "long");
    expect_content("backs.svg", "new");
    expect_content(".backs.svg.0.part", "somebody else's");
    cr_expect(access("elsewhere", F_OK) != 0);
    add(&outputs, name, "too long");
    cr_expect(not(rab_outputs_commit(&outputs, &err)));
    cr_expect(strstr(err.text, ": cannot be written (File name too long)") != NULL, "%s", err.text);
    rab_outputs_clear(&outputs);
    cr_expect(entries(".") == 4);
}

Test(files, a_path_given_twice)
{
    static const char *const same[] = {"album/backs.svg", "./album/backs.svg", "album//backs.svg",
                                       "album/./backs.svg", ".//album/.//backs.svg"};
    static const char *const others[] = {"albumbacks.svg",    "album./backs.svg",
                                         "album/.backs.svg",  "/album/backs.svg",
                                         "album/backs",       "album",
                                         "../album/backs.svg"};
    struct rab_outputs outputs = {0};

    add(&outputs, "album/backs.svg", "new");
    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        struct rab_text text = {0};
        struct rab_error err = {0};

        rab_text_add(&text, "again");
        cr_expect(not(rab_outputs_add(&outputs, same[i], &text, &err)), "%s", same[i]);
        cr_expect(err.fault == RAB_FAULT_INPUT && strstr(err.text, "twice"), "%s", err.text);
        cr_expect(strcmp(text.data, "again") == 0);
        rab_text_clear(&text);
    }
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        add(&outputs, others[i], "new");
    rab_outputs_clear(&outputs);
}

Test(files, a_text_that_failed_and_a_name_that_is_empty)
{
    struct rab_outputs outputs = {0};
    struct rab_text text = {.failed = true};
    struct rab_error err = {0};

    cr_expect(not(rab_outputs_add(&outputs, "backs.svg", &text, &err)));
    cr_expect(err.fault == RAB_FAULT_MEMORY);
    err = (struct rab_error){0};
    text.failed = false;
    cr_expect(not(rab_outputs_add(&outputs, "", &text, &err)));
    cr_expect(err.fault == RAB_FAULT_INPUT);
    cr_expect(outputs.count == 0);
    rab_outputs_clear(&outputs);
}
