// Touchstone, strictly and as instruments write it: in one piece and by blocks the same is read, or refused, and what
// is read is judged without a fault.
#include <algorithm>
#include <string>

#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/load/touchstone.hpp>
#include <stile/sweep/judge.hpp>

using namespace stile;

STILE_FILE_MUTATOR

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::string name = "f.s" + std::to_string(1 + data[0] % 4) + "p";
  load::TouchstoneFile strict;
  const bool strictly =
      fuzz::readable(data + 1, size - 1, [&](std::string_view text) { strict = load::read_touchstone(text, name); });
  sweep::Sweep loose;
  const bool loosely =
      fuzz::readable(data + 1, size - 1, [&](std::string_view text) { loose = sweep::read_sweep_text(text, name); });
  sweep::Sweep blocks;
  const bool by_blocks = fuzz::readable(data + 1, size - 1, [&](std::string_view text) {
    sweep::SweepReader reader(name);
    for (std::size_t at = 0; at < text.size(); at += 7) reader.take(text.substr(at, 7));
    blocks = reader.finish();
  });
  fuzz::expect(loosely == by_blocks, "one piece and blocks differ in whether they can be read");
  if (!loosely) return 0;
  fuzz::expect(loose.frequency_hz == blocks.frequency_hz, "one piece and blocks differ in their frequencies");
  if (strictly && strict.points.size() > 0)
    fuzz::expect(loose.frequency_hz.size() <= strict.points.size() + strict.noise.size(), "points from nowhere");
  try {
    sweep::judge(loose);
  } catch (const Error& error) {
    fuzz::expect(*error.what() != '\0', "a refusal without a word");
  }
  return 0;
}
