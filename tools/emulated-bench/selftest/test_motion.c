void test_motion(void);
void test_motion(void) {}
