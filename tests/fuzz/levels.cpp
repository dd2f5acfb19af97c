// A table of a local code's levels.
#include <cmath>
#include <string>

#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/safety/levels.hpp>

using namespace stile;

STILE_FILE_MUTATOR

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::readable(data, size, [&](std::string_view text) {
    for (const safety::Level& l : safety::read_levels(std::string(text), "l.csv"))
      fuzz::expect(l.low_hz > 0.0 && l.high_hz >= l.low_hz && l.averaging_s >= 0.0, "a level without a range");
  });
  return 0;
}
