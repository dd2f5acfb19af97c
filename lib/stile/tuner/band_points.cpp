#include <stile/tuner/band_points.hpp>

#include <cmath>

#include <stile/base/errors.hpp>

namespace stile::tuner {

std::string frequency_name(double frequency_hz) { return print_quantity(frequency_hz, Unit::hertz, 7); }

BandPoints band_points(const std::string& name, double low_hz, double high_hz, std::size_t points) {
  require(low_hz > 0.0 && low_hz < high_hz && std::isfinite(high_hz), "low_hz must be > 0 and below high_hz, finite");
  require(points >= 2, "a band must have at least two points");
  BandPoints band{
      name.empty() ? frequency_name(low_hz) + " to " + frequency_name(high_hz) : name, {}, 0.5 * (low_hz + high_hz)};
  for (std::size_t n = 0; n + 1 < points; ++n) {
    band.frequency_hz.push_back(low_hz + (high_hz - low_hz) * static_cast<double>(n) / static_cast<double>(points - 1));
  }
  band.frequency_hz.push_back(high_hz);
  return band;
}

BandPoints one_frequency(double frequency_hz) {
  require(frequency_hz > 0.0 && std::isfinite(frequency_hz), "frequency_hz must be > 0 and finite");
  return {frequency_name(frequency_hz), {frequency_hz}, frequency_hz};
}

std::vector<BandPoints> sampled_bands(const load::Load& load, std::size_t most_samples, std::size_t points) {
  require(points >= 2, "a band must have at least two points");
  std::vector<BandPoints> bands;
  const auto* sampled = std::get_if<load::SampledLoad>(&load.model);
  if (sampled == nullptr) return bands;
  for (const Range& range_hz : load::load_ranges(load)) {
    if (range_hz.low == range_hz.high) {
      bands.push_back(one_frequency(range_hz.low));
      continue;
    }
    std::vector<double> samples;
    for (const double f : sampled->frequency_hz) {
      if (f >= range_hz.low && f <= range_hz.high) samples.push_back(f);
    }
    BandPoints band = band_points("", range_hz.low, range_hz.high, points);
    if (samples.size() <= most_samples) band.frequency_hz = samples;
    bands.push_back(std::move(band));
  }
  return bands;
}

}  // namespace stile::tuner
