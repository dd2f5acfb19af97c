// A brief of the designer: read alone, since a search takes seconds.
#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/station/brief.hpp>

using namespace stile;

STILE_FILE_MUTATOR

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  fuzz::readable(data, size, [&](std::string_view text) { station::read_brief(text, "b.toml"); });
  return 0;
}
