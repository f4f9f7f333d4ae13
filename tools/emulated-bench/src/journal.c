#include "journal.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <errno.h>

static FILE *file;
static bool broken;
static bool pending;

bool journal_open(const char *path)
{
	if (!path)
		return true;
	// So large that the library never hands over half a line on its own: whoever reads along sees whole lines.
	enum { BUFFER_SIZE = 1 << 20 };
	static char buffer[BUFFER_SIZE];
	file = fopen(path, "w");
	if (!file || setvbuf(file, buffer, _IOFBF, sizeof buffer) != 0) {
		fprintf(stderr, "emulated-bench: cannot write the log %s: %s\n", path, strerror(errno));
		return false;
	}
	return true;
}

void journal_line(instant_ps at, const char *name, const char *format, ...)
{
	if (!file)
		return;
	va_list arguments;
	va_start(arguments, format);
	if (fprintf(file, "%" PRIu64 " %s ", at / 1000, name) < 0 || vfprintf(file, format, arguments) < 0 || fputc('\n', file) == EOF)
		broken = true;
	va_end(arguments);
	pending = true;
}

void journal_comment(const char *format, ...)
{
	if (!file)
		return;
	va_list arguments;
	va_start(arguments, format);
	if (fputs("# ", file) == EOF || vfprintf(file, format, arguments) < 0 || fputc('\n', file) == EOF)
		broken = true;
	va_end(arguments);
	pending = true;
}

bool journal_flush(void)
{
	if (file && pending && fflush(file) == EOF)
		broken = true;
	pending = false;
	return !broken;
}
