// A wires file; a small drawing is solved at 14 MHz, and its power adds up.
#include <cmath>

#include <fuzz/entrance.hpp>
#include <fuzz/mutate.hpp>
#include <stile/station/wires_file.hpp>
#include <stile/wire/solve.hpp>

using namespace stile;

STILE_FILE_MUTATOR

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  std::vector<wire::WireCase> cases;
  const bool read =
      fuzz::readable(data, size, [&](std::string_view text) { cases = station::read_wires(text, "w.toml"); });
  if (!read || cases.empty()) return 0;
  const wire::WireCase& c = cases.front();
  double metres = 0.0;
  for (const wire::Wire& w : c.antenna.wires) metres += wire::wire_length_m(w);
  if (metres > 30.0 || c.antenna.wires.size() > 12) return 0;
  try {
    const wire::AntennaSolution s = wire::solve_antenna(c.antenna, c.ground, 14e6);
    fuzz::expect(std::isfinite(s.feed_ohm.real()) && std::isfinite(s.feed_ohm.imag()), "an impedance");
    const wire::AntennaShares& p = s.share;
    const double sum = p.radiated + p.ground + p.metal + p.coil + p.lump + p.person;
    fuzz::expect(std::abs(sum - 1.0) < 1e-6, "shares that do not add up");
  } catch (const DomainError&) {  // too thick, too close, too many pieces: with its words
  }
  return 0;
}
