/* Checks for plain C tests: a failed one says where, what was expected and what came; the others go on. */
#ifndef CHECKS_H
#define CHECKS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

extern unsigned checks_failed_here; /* in the test that runs */

#define CHECK(condition)                                                              \
    do {                                                                              \
        if (!(condition)) {                                                           \
            checks_failed_here++;                                                     \
            fprintf(stderr, "%s:%d: not true: %s\n", __FILE__, __LINE__, #condition); \
        }                                                                             \
    } while (0)

#define CHECK_EQUAL(expected, found)                                                                                      \
    do {                                                                                                                  \
        const unsigned long long expected_ = (unsigned long long)(expected);                                              \
        const unsigned long long found_ = (unsigned long long)(found);                                                    \
        if (expected_ != found_) {                                                                                        \
            checks_failed_here++;                                                                                         \
            fprintf(stderr, "%s:%d: %s: expected %llu (0x%llx), found %llu (0x%llx)\n", __FILE__, __LINE__, #found,      \
                    expected_, expected_, found_, found_);                                                                \
        }                                                                                                                 \
    } while (0)

struct test {
    const char *name;
    void (*run)(void);
};

/* Each test file ends with its table. */
extern const struct test vector_tests[], limit_tests[], program_tests[], session_tests[], run_tests[], fine_tests[], record_tests[], noise_tests[],
    select_tests[];

#endif
