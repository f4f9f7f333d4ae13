void test_faults(void);
void test_faults(void) {}
