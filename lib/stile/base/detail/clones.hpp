#pragma once
// Compiles a function for several instruction sets; the machine chooses when the program starts. Internal: for the
// loops written for the vectoriser, in files compiled without fused operations (lib/CMakeLists.txt), so that all give
// the same bits. gcc 12 takes such a function for one that does not throw: no exception may leave it.

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__)
#define STILE_CLONES __attribute__((target_clones("default", "arch=x86-64-v3", "arch=x86-64-v4")))
#else
#define STILE_CLONES
#endif
