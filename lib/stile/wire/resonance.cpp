#include <stile/wire/resonance.hpp>

#include <stile/base/errors.hpp>

namespace stile::wire {

namespace {

constexpr RootOptions precision{0.01, 60};

double reactance(const Antenna& antenna, const Ground& ground, double frequency_hz, const SolveOptions& options) {
  return solve_antenna(antenna, ground, frequency_hz, options).feed_ohm.imag();
}

}  // namespace

Root resonant_length(const AntennaOfLength& antenna, const Ground& ground, double frequency_hz, double low_m,
                     double high_m, const SolveOptions& options) {
  require(low_m > 0.0, "low_m must be > 0");
  const SolveOptions shared = with_tables(options);
  return find_root([&](double length) { return reactance(antenna(length), ground, frequency_hz, shared); }, low_m,
                   high_m, precision);
}

Root resonant_coil(const Antenna& antenna, std::size_t coil, const Ground& ground, double frequency_hz, double low_h,
                   double high_h, const SolveOptions& options) {
  require(coil < antenna.coils.size(), "there is no such coil");
  require(low_h > 0.0, "low_h must be > 0");
  const SolveOptions shared = with_tables(options);
  return find_root(
      [&](double inductance) {
        Antenna tuned = antenna;
        tuned.coils[coil].inductance_h = inductance;
        tuned.coils[coil].values.clear();
        return reactance(tuned, ground, frequency_hz, shared);
      },
      low_h, high_h, precision);
}

Root resonant_frequency(const Antenna& antenna, const Ground& ground, double low_hz, double high_hz,
                        const SolveOptions& options) {
  return find_root([&](double frequency) { return reactance(antenna, ground, frequency, options); }, low_hz, high_hz,
                   precision);
}

}  // namespace stile::wire
