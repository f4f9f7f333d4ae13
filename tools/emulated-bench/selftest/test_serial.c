void test_serial(void);
void test_serial(void) {}
