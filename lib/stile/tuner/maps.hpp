#pragma once
// What a tuner does with every load of a plane, and along the sweep of one load.

#include <functional>
#include <optional>
#include <span>
#include <vector>

#include <stile/tuner/stress.hpp>
#include <stile/tuner/tree.hpp>

namespace stile::tuner {

enum class MapPlane {
  reflection,  ///< x, y: real and imaginary part of (Z - reference)/(Z + reference)
  impedance,   ///< x, y: R and X, ohm
};

/// An even grid. Cell (column, row) stands for the point
/// x = x_low + (x_high - x_low) (column + 1/2)/columns, y likewise; with logarithmic_r x goes in even ratios:
/// x = x_low (x_high/x_low)^((column + 1/2)/columns).
struct MapGrid {
  MapPlane plane = MapPlane::reflection;
  double x_low = -1.0, x_high = 1.0, y_low = -1.0, y_high = 1.0;
  std::size_t columns = 201, rows = 201;  ///< product 1 .. 2^24
  double reference_ohm = 50.0;            ///< > 0
  bool logarithmic_r = false;             ///< of the impedance plane alone; x_low > 0
};

/// The R-X plane about the loads and a transmitter's resistance, R logarithmic: from a third of the least resistance to
/// three times the greatest, that of the transmitter among them; X from the least to the greatest of the loads' and 0,
/// a quarter more on each side, at least twice the transmitter's resistance. A load below a thousandth of that
/// resistance is left out. Without loads: a fiftieth to twenty times the resistance, X twenty times both ways.
/// @param reference_ohm  the transmitter's resistance, > 0
/// @throws DomainError  reference_ohm not > 0 and finite; a load that is not finite, or with a real part below 0
MapGrid impedance_grid(std::span<const cdouble> z_load_ohm, double reference_ohm);

/// The whole reflection plane, for a transmitter's resistance; where more than half of the loads lie within a twentieth
/// of its rim, as those of short whips do, for 1, 2 or 5 times a power of ten, ohm, near the median of the loads'
/// sizes, so that they stand apart. One load is enough; without loads: for that resistance.
/// @param reference_ohm  the transmitter's resistance, > 0
/// @throws DomainError  as impedance_grid
MapGrid reflection_grid(std::span<const cdouble> z_load_ohm, double reference_ohm);

/// A cell's point in the plane, x + j y.
cdouble cell_point(const MapGrid& grid, std::size_t column, std::size_t row);

/// A load's point in the plane. @throws DomainError  as map_range; real part < 0 or not finite
cdouble point_of(const MapGrid& grid, cdouble z_load_ohm);
/// Whether that point is on the grid, its rim included.
bool on_grid(const MapGrid& grid, cdouble z_load_ohm);
/// The load of a cell; nothing where it is not passive (real part < 0) or infinite.
std::optional<cdouble> cell_load(const MapGrid& grid, std::size_t column, std::size_t row);

/// One load of a map. The state is the goal's; where no state comes under the limit, that of least SWR.
struct MapCell {
  TunerStatus status = TunerStatus::not_run;  ///< not_run: no passive load; out_of_reach: swr is above the limit
  cdouble z_load_ohm{};
  std::uint64_t index = 0;
  double swr = 0.0;  ///< residual
  double dissipation_db = 0.0;
  WorstStress stress;  ///< the worst part over its rating, and which one
};

struct RangeMap {
  MapGrid grid;
  double frequency_hz = 0.0, swr_limit = 0.0;
  network::Source source;
  std::vector<MapCell> cells;  ///< row by row from y_low, `columns` in a row
};

/// @param power_w  of the transmitter, > 0: stresses are for it
/// @param threads  as in choose_states; the map does not depend on it
/// @throws DomainError  a value outside its range
/// Accuracy: SWR, loss and stress equal a ladder's evaluation of the same state within 1e-9 (asserted).
RangeMap map_range(const TunerTree& tree, const MapGrid& grid, double swr_limit, double power_w,
                   Goal goal = Goal::least_loss, unsigned threads = 0);

/// Frequencies next to each other in a sweep at which no state comes under the limit.
struct RangeHole {
  double low_hz = 0.0, high_hz = 0.0;  ///< first and last frequency of the hole
  double worst_swr = 0.0;
};

struct BandRange {
  std::vector<double> frequency_hz;
  std::vector<MapCell> cells;    ///< one a frequency
  std::vector<RangeHole> holes;  ///< in the sweep's order
};

/// A load's own sweep, tuned anew at each frequency.
///
/// @param load  impedance at a frequency, ohm, real part >= 0
/// @throws DomainError  as map_range; what `load` throws
BandRange band_range(const Tuner& tuner, const network::Source& source, std::span<const double> frequency_hz,
                     const std::function<cdouble(double)>& load, double swr_limit, Goal goal = Goal::least_loss);

}  // namespace stile::tuner
