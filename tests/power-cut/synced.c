/*
 * Beside each file whose path begins with SYNCED_OF this keeps, in the folder SYNCED_TO, what was in it when it was synced last: all that a disk surely has of it when the power goes.
 * A sync that fails keeps nothing. A program that cannot keep is ended: a test that goes on then would prove nothing.
 */
#include <dlfcn.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void give_up(const char *what)
{
    perror(what);
    _exit(97);
}

static void copy(int from, const char *to)
{
    static const size_t room = 1 << 16;
    char *bytes = malloc(room);
    int file = open(to, O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (bytes == NULL || file < 0)
        give_up(to);
    ssize_t count;
    while ((count = read(from, bytes, room)) > 0)
        if (write(file, bytes, (size_t)count) != count)
            give_up(to);
    if (count < 0)
        give_up(to);
    close(file);
    free(bytes);
}

static void keep(int descriptor)
{
    const char *of = getenv("SYNCED_OF"), *to = getenv("SYNCED_TO");
    char link[64], path[4096], kept[8192], whole[8256];
    if (of == NULL || to == NULL)
        return;
    snprintf(link, sizeof link, "/proc/self/fd/%d", descriptor);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length < 0)
        return;
    path[length] = '\0';
    if (strncmp(path, of, strlen(of)) != 0)
        return;
    /* Opened anew: the descriptor's own place in the file is the program's. */
    int from = open(path, O_RDONLY);
    if (from < 0)
        return; /* Deleted meanwhile. */
    if ((size_t)snprintf(kept, sizeof kept, "%s/%s", to, strrchr(path, '/') + 1) >= sizeof kept)
        give_up(path);
    snprintf(whole, sizeof whole, "%s.%d.new", kept, descriptor);
    copy(from, whole);
    close(from);
    /* The program may be killed at any instant: what is kept is always whole. */
    if (rename(whole, kept) != 0)
        give_up(kept);
}

static int after(const char *name, int descriptor)
{
    int (*real)(int) = (int (*)(int))dlsym(RTLD_NEXT, name);
    int result = real(descriptor);
    if (result == 0)
        keep(descriptor);
    return result;
}

int fsync(int descriptor)
{
    return after("fsync", descriptor);
}

int fdatasync(int descriptor)
{
    return after("fdatasync", descriptor);
}
