// The packaged 3MF library never frees its zip handles when a package is damaged; its leaks are not
// ours to mend, and would hide those that are.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() {
  return "leak:libzip.so\nleak:lib3MF.so\n";
}
