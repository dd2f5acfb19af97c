#include <stile/load/load_sweep.hpp>

namespace stile::load {
namespace {

/// Loads at a harmonic, empty when none is known; where one is not, the fundamental's stands in, to be left out
/// afterwards.
std::vector<cdouble> harmonic_loads(const Load& load, double multiple, const network::LoadSamples& samples) {
  std::vector<cdouble> loads = samples.z_ohm;
  bool any = false;
  for (std::size_t n = 0; n < loads.size(); ++n) {
    const double f = multiple * samples.frequency_hz[n];
    if (!load_covers(load, f)) continue;
    loads[n] = load_impedance(load, f);
    any = true;
  }
  return any ? loads : std::vector<cdouble>{};
}

}  // namespace

std::vector<network::Evaluation> evaluate_into_load(const network::Ladder& ladder, const network::Source& source,
                                                    const Load& load, std::span<const double> frequency_hz) {
  std::vector<network::Evaluation> points;
  if (frequency_hz.empty()) return points;
  network::LoadSamples samples;
  samples.frequency_hz.assign(frequency_hz.begin(), frequency_hz.end());
  for (const double f : frequency_hz) samples.z_ohm.push_back(load_impedance(load, f));
  samples.z_second_ohm = harmonic_loads(load, 2.0, samples);
  samples.z_third_ohm = harmonic_loads(load, 3.0, samples);
  points.reserve(frequency_hz.size());
  network::visit_sweep(ladder, source, samples, [&](const network::SweepRows& rows) {
    for (std::size_t k = 0; k < rows.count; ++k) {
      network::Evaluation& e = points.emplace_back(rows.at(k));
      if (!load_covers(load, 2.0 * e.frequency_hz)) e.second_harmonic_db.reset();
      if (!load_covers(load, 3.0 * e.frequency_hz)) e.third_harmonic_db.reset();
    }
  });
  return points;
}

}  // namespace stile::load
