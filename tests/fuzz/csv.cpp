// A table of a sweep, read and judged; and the bare table with its cells.
#include <cmath>

#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/base/table.hpp>
#include <stile/sweep/judge.hpp>

using namespace stile;

STILE_FILE_MUTATOR

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::readable(data, size, [&](std::string_view text) { read_table(text, "t.csv"); });
  sweep::Sweep s;
  if (!fuzz::readable(data, size, [&](std::string_view text) { s = sweep::read_sweep_text(text, "s.csv"); })) return 0;
  for (std::size_t n = 1; n < s.frequency_hz.size(); ++n)
    fuzz::expect(s.frequency_hz[n - 1] < s.frequency_hz[n], "frequencies that do not rise");
  try {
    sweep::judge(s);
  } catch (const Error& error) {
    fuzz::expect(*error.what() != '\0', "a refusal without a word");
  }
  return 0;
}
