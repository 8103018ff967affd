/* For libFuzzer (LLVM, "libFuzzer – a library for coverage-guided fuzz testing"): the firmware over any bytes as a script. */
#include "inprocess.h"

int LLVMFuzzerTestOneInput(const uint8_t* from, size_t n);

int LLVMFuzzerTestOneInput(const uint8_t* from, size_t n) {
  inprocess_run(from, n);
  return 0;
}
