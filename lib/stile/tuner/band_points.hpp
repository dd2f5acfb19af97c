#pragma once
// The frequencies at which a band is looked at, and the loads that are looked at there.

#include <string>
#include <vector>

#include <stile/load/load.hpp>

namespace stile::tuner {

struct NamedLoad {
  std::string name;  ///< the condition, "load 2", or the file
  load::Load load;
};

/// A band with the points of its sweep, or one frequency alone.
struct BandPoints {
  std::string name;                  ///< "40 m", "7 MHz to 7.2 MHz"; of one frequency: "7.1 MHz"
  std::vector<double> frequency_hz;  ///< rising, not empty
  double middle_hz = 0.0;            ///< where loads, coverage and maps are looked at
};

/// What one frequency is called: "7.1 MHz".
std::string frequency_name(double frequency_hz);

/// `points` frequencies at even steps, both ends included; looked at in its middle.
///
/// @param name     empty: "7 MHz to 7.2 MHz"
/// @param low_hz   > 0, below high_hz, finite
/// @param points   >= 2
/// @throws DomainError  a value outside its range
BandPoints band_points(const std::string& name, double low_hz, double high_hz, std::size_t points);

/// One frequency, named by itself. @throws DomainError  not > 0 and finite
BandPoints one_frequency(double frequency_hz);

/// The stretches of a sampled load's own data: at its samples, where a stretch has at most `most_samples`, otherwise at
/// `points` even steps. Empty for a load that is no sweep.
/// @throws DomainError  points below 2
std::vector<BandPoints> sampled_bands(const load::Load& load, std::size_t most_samples, std::size_t points);

}  // namespace stile::tuner
