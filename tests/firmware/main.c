/* Runs every test and prints `N passed, N failed`; exits with 1 when one failed. */
#include "checks.h"

unsigned checks_failed_here;

int main(void)
{
    const struct test *const tables[] = {vector_tests, limit_tests, program_tests, session_tests, run_tests, fine_tests, record_tests, noise_tests,
                                        select_tests};
    unsigned passed = 0, failed = 0;

    for (size_t i = 0; i < sizeof tables / sizeof tables[0]; i++) {
        for (const struct test *test = tables[i]; test->name != NULL; test++) {
            checks_failed_here = 0;
            test->run();
            if (checks_failed_here == 0) {
                passed++;
                continue;
            }
            failed++;
            fprintf(stderr, "FAILED: %s\n", test->name);
        }
    }
    printf("%u passed, %u failed\n", passed, failed);
    return failed == 0 ? 0 : 1;
}
