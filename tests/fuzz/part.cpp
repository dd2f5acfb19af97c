// A part of the command line, and a network of it alone: evaluated, it delivers no more than there is.
#include <cmath>

#include <cli/part.hpp>
#include <fuzz/entrance.hpp>
#include <stile/network/ladder.hpp>

using namespace stile;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const int kind = data[0] % 4;
  network::Element element;
  const bool read = fuzz::readable(data + 1, size - 1, [&](std::string_view text) {
    if (kind == 2)
      element = tools::read_line(text, "--line");
    else if (kind == 3)
      element = tools::read_transformer(text, "--transformer");
    else
      element = tools::read_part(text, kind == 0 ? network::Place::series : network::Place::shunt, "--part");
  });
  if (!read) return 0;
  network::Ladder ladder;
  ladder.elements = {element};
  const network::Source source{50.0, 5.0};
  try {
    const network::Evaluation e = network::evaluate(ladder, source, 7.1e6, {20.0, -300.0});
    fuzz::expect(std::isfinite(e.power.delivered_w) && e.power.delivered_w >= 0.0, "power delivered by a passive part");
    fuzz::expect(e.power.delivered_w <= e.power.available_w * (1.0 + 1e-9), "more power than there is");
  } catch (const DomainError&) {  // an open circuit, a value that leaves doubles
  }
  return 0;
}
