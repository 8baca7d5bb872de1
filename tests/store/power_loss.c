/* Logs what a program asks of the files in one folder, in the order in which it asks.
 *
 * To be loaded with LD_PRELOAD. UNSPOOL_DISK_FOLDER names the folder, UNSPOOL_DISK_LOG the log.
 * What the program says on standard output goes into the log too: its place is when it was said.
 * Calls of one thread only. power_cut.py reads the records. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/uio.h>
#include <unistd.h>

enum { DESCRIPTORS = 1024 };

static int log_to = -1;
static const char *folder = "";
static char watched[DESCRIPTORS];

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

__attribute__((constructor)) static void begin(void)
{
    const char *where = getenv("UNSPOOL_DISK_LOG");
    const char *below = getenv("UNSPOOL_DISK_FOLDER");
    if (where && below) {
        folder = below;
        log_to = REAL(open)(where, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
    }
}

/* A record: kind (a letter), descriptor, offset or size, bytes of name and data; then these two. */
static void tell(char kind, int descriptor, int64_t offset, const char *name, const void *data,
                 size_t bytes)
{
    int64_t head[] = {kind, descriptor, offset, (int64_t)strlen(name), (int64_t)bytes};
    struct iovec parts[] = {{head, sizeof head},
                            {(void *)(uintptr_t)name, strlen(name)},
                            {(void *)(uintptr_t)data, bytes}};
    ssize_t whole = (ssize_t)(sizeof head + strlen(name) + bytes);
    if (log_to >= 0 && writev(log_to, parts, 3) != whole)
        abort();
}

/* The path within the folder, "" for the folder itself, a null pointer for any other. */
static const char *within(const char *path)
{
    size_t length = strlen(folder);
    if (log_to < 0 || strncmp(path, folder, length) != 0)
        return NULL;
    if (path[length] == '/')
        return path + length + 1;
    return path[length] == '\0' ? path + length : NULL;
}

static int is_watched(int descriptor)
{
    return descriptor >= 0 && descriptor < DESCRIPTORS && watched[descriptor];
}

static void opened(int descriptor, const char *path, int flags, int there)
{
    const char *name = within(path);
    if (descriptor < 0 || descriptor >= DESCRIPTORS)
        return;
    watched[descriptor] = name != NULL;
    if (!name)
        return;
    tell(there ? 'o' : 'c', descriptor, 0, name, "", 0);
    if (there && (flags & O_TRUNC))
        tell('t', descriptor, 0, "", "", 0);
}

#define OPEN(name)                                           \
    int name(const char *path, int flags, ...)               \
    {                                                        \
        va_list rest;                                        \
        va_start(rest, flags);                               \
        mode_t mode = (flags & O_CREAT) ? va_arg(rest, mode_t) : 0; \
        va_end(rest);                                        \
        int there = access(path, F_OK) == 0;                 \
        int descriptor = REAL(name)(path, flags, mode);      \
        opened(descriptor, path, flags, there);              \
        return descriptor;                                   \
    }
OPEN(open)
OPEN(open64)

int close(int descriptor)
{
    if (is_watched(descriptor))
        watched[descriptor] = 0;
    return REAL(close)(descriptor);
}

ssize_t write(int descriptor, const void *data, size_t bytes)
{
    ssize_t done = REAL(write)(descriptor, data, bytes);
    if (done > 0 && descriptor == STDOUT_FILENO)
        tell('a', descriptor, 0, "", data, (size_t)done);
    else if (done > 0 && is_watched(descriptor))
        tell('w', descriptor, lseek(descriptor, 0, SEEK_CUR) - done, "", data, (size_t)done);
    return done;
}

#define PWRITE(name, offset_type)                                                      \
    ssize_t name(int descriptor, const void *data, size_t bytes, offset_type offset)   \
    {                                                                                  \
        ssize_t done = REAL(name)(descriptor, data, bytes, offset);                    \
        if (done > 0 && is_watched(descriptor))                                        \
            tell('w', descriptor, offset, "", data, (size_t)done);                     \
        return done;                                                                   \
    }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)

#define TRUNCATE(name, size_type)                      \
    int name(int descriptor, size_type size)           \
    {                                                  \
        int failed = REAL(name)(descriptor, size);     \
        if (!failed && is_watched(descriptor))         \
            tell('t', descriptor, size, "", "", 0);    \
        return failed;                                 \
    }
TRUNCATE(ftruncate, off_t)
TRUNCATE(ftruncate64, off64_t)

#define SYNC(name)                                     \
    int name(int descriptor)                           \
    {                                                  \
        int failed = REAL(name)(descriptor);           \
        if (!failed && is_watched(descriptor))         \
            tell('s', descriptor, 0, "", "", 0);       \
        return failed;                                 \
    }
SYNC(fsync)
SYNC(fdatasync)

int unlink(const char *path)
{
    int failed = REAL(unlink)(path);
    if (!failed && within(path))
        tell('u', -1, 0, within(path), "", 0);
    return failed;
}

int rename(const char *from, const char *to)
{
    int failed = REAL(rename)(from, to);
    if (!failed && within(from) && within(to))
        tell('r', -1, 0, within(from), within(to), strlen(within(to)));
    return failed;
}
