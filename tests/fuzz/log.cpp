// A log of measurements and contacts, and a table of relays.
#include <cmath>

#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/sweep/field_log.hpp>

using namespace stile;

STILE_FILE_MUTATOR

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::readable(data, size, [&](std::string_view text) {
    for (const sweep::LogEntry& e : sweep::read_log(text, "l.csv"))
      fuzz::expect(std::isfinite(e.frequency_hz) && e.frequency_hz > 0.0, "a frequency that is none");
  });
  fuzz::readable(data, size, [&](std::string_view text) { sweep::read_relays(text, "r.csv"); });
  return 0;
}
