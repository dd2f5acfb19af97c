#include <stile/tuner/maps.hpp>

#include <algorithm>
#include <cmath>

#include <fmt/core.h>

#include <stile/base/errors.hpp>
#include <stile/base/parallel.hpp>
#include <stile/base/range.hpp>
#include <stile/tuner/detail/stress_model.hpp>
#include <stile/tuner/detail/tree_data.hpp>

namespace stile::tuner {
namespace {

constexpr std::size_t most_cells = std::size_t{1} << 24;

void check(const MapGrid& grid) {
  require(std::isfinite(grid.x_low) && std::isfinite(grid.x_high) && grid.x_low < grid.x_high,
          "x_low must be below x_high, both finite");
  require(!grid.logarithmic_r || (grid.plane == MapPlane::impedance && grid.x_low > 0.0),
          "a logarithmic resistance needs the impedance plane and x_low > 0");
  require(std::isfinite(grid.y_low) && std::isfinite(grid.y_high) && grid.y_low < grid.y_high,
          "y_low must be below y_high, both finite");
  if (!(grid.columns > 0 && grid.rows > 0 && grid.columns <= most_cells && grid.rows <= most_cells / grid.columns)) {
    throw DomainError(
        fmt::format("a map has {} columns and {} rows and must have 1 to 2^24 cells", grid.columns, grid.rows));
  }
  require(grid.reference_ohm > 0.0 && std::isfinite(grid.reference_ohm), "reference_ohm must be > 0 and finite");
}

void check_power(double power_w) {
  if (!(power_w > 0.0 && std::isfinite(power_w))) {
    throw DomainError(fmt::format("power_w is {} and must be > 0 and finite", power_w));
  }
}

/// Fills in what a map needs beside a load's score; where nothing comes under the limit, from the least SWR.
struct Filler {
  const detail::TreeData& data;
  detail::StressModel model;
  network::Source source;
  double swr_limit;

  Filler(const detail::TreeData& of, double power_w, double limit)
      : data(of), model(detail::stress_model(of.tuner, of.table, of.z_source)), source{of.z_source, power_w},
        swr_limit(limit) {}

  MapCell cell(cdouble z_load, const StateScore& score) const {
    MapCell result;
    result.z_load_ohm = z_load;
    result.status = TunerStatus::out_of_reach;
    result.swr = result.dissipation_db = network::infinite;
    if (score.status != TunerStatus::found) return result;
    const TunerState state = detail::decode_masks(data.tuner, score.index);
    const detail::StressedState stressed = detail::stress_of(model, state, source, z_load);
    if (stressed.ends.f2 / stressed.ends.e2 <= detail::reflection2_limit(swr_limit)) result.status = TunerStatus::found;
    result.index = score.index;
    result.swr = score.swr;
    result.dissipation_db = score.dissipation_db;
    result.stress = stressed.worst;
    return result;
  }
};

/// The goal's score of each load, or that of least SWR where no state is within the limit.
std::vector<StateScore> scores_of(const TunerTree& tree, std::span<const cdouble> loads, double swr_limit, Goal goal,
                                  unsigned threads) {
  std::vector<StateScore> scores = choose_states(tree, loads, swr_limit, goal, threads);
  std::vector<std::size_t> without;
  std::vector<cdouble> again;
  for (std::size_t n = 0; n < scores.size(); ++n) {
    if (scores[n].status == TunerStatus::found) continue;
    without.push_back(n);
    again.push_back(loads[n]);
  }
  const std::vector<StateScore> least = choose_states(tree, again, swr_limit, Goal::least_swr, threads);
  for (std::size_t k = 0; k < without.size(); ++k) scores[without[k]] = least[k];
  return scores;
}

}  // namespace

cdouble cell_point(const MapGrid& grid, std::size_t column, std::size_t row) {
  check(grid);
  require(column < grid.columns && row < grid.rows, "the map has no such cell");
  const auto at = [](double low, double high, std::size_t n, std::size_t of) {
    return low + (high - low) * (static_cast<double>(n) + 0.5) / static_cast<double>(of);
  };
  const double x = grid.logarithmic_r ? std::exp(at(std::log(grid.x_low), std::log(grid.x_high), column, grid.columns))
                                      : at(grid.x_low, grid.x_high, column, grid.columns);
  return {x, at(grid.y_low, grid.y_high, row, grid.rows)};
}

cdouble point_of(const MapGrid& grid, cdouble z) {
  check(grid);
  detail::check_load(z);
  return grid.plane == MapPlane::impedance ? z : (z - grid.reference_ohm) / (z + grid.reference_ohm);
}

bool on_grid(const MapGrid& grid, cdouble z) {
  const cdouble point = point_of(grid, z);
  return point.real() >= grid.x_low && point.real() <= grid.x_high && point.imag() >= grid.y_low &&
         point.imag() <= grid.y_high;
}

MapGrid impedance_grid(std::span<const cdouble> z_load_ohm, double reference_ohm) {
  require(reference_ohm > 0.0 && std::isfinite(reference_ohm), "reference_ohm must be > 0 and finite");
  constexpr double least = 1e-3, factor = 3.0, spare = 0.25, least_spare = 2.0;
  MapGrid grid;
  grid.plane = MapPlane::impedance;
  grid.reference_ohm = reference_ohm;
  grid.logarithmic_r = true;
  Range r{reference_ohm, reference_ohm}, x{0.0, 0.0};
  bool any = false;
  for (const cdouble z : z_load_ohm) {
    detail::check_load(z);
    if (z.real() < least * reference_ohm) continue;
    any = true;
    r = {std::min(r.low, z.real()), std::max(r.high, z.real())};
    x = {std::min(x.low, z.imag()), std::max(x.high, z.imag())};
  }
  const double aside = std::max(spare * (x.high - x.low), least_spare * reference_ohm);
  grid.x_low = any ? r.low / factor : reference_ohm / 50.0;
  grid.x_high = any ? r.high * factor : 20.0 * reference_ohm;
  grid.y_low = any ? x.low - aside : -20.0 * reference_ohm;
  grid.y_high = any ? x.high + aside : 20.0 * reference_ohm;
  return grid;
}

MapGrid reflection_grid(std::span<const cdouble> z_load_ohm, double reference_ohm) {
  require(reference_ohm > 0.0 && std::isfinite(reference_ohm), "reference_ohm must be > 0 and finite");
  constexpr double rim = 0.95;
  MapGrid grid;
  grid.reference_ohm = reference_ohm;
  std::vector<double> sizes;
  std::size_t at_rim = 0;
  for (const cdouble z : z_load_ohm) {
    sizes.push_back(std::abs(z));
    if (std::abs(point_of(grid, z)) > rim) ++at_rim;
  }
  if (2 * at_rim <= sizes.size()) return grid;
  const auto middle = sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2);
  std::nth_element(sizes.begin(), middle, sizes.end());
  if (*middle == 0.0) return grid;  // no reference takes a short circuit from the rim
  const double power = std::pow(10.0, std::floor(std::log10(*middle))), lead = *middle / power;
  // Rounded in even ratios: 1.4 = sqrt(1 2), 3.2 = sqrt(2 5), 7.1 = sqrt(5 10).
  grid.reference_ohm = power * (lead < std::sqrt(2.0)    ? 1.0
                                : lead < std::sqrt(10.0) ? 2.0
                                : lead < std::sqrt(50.0) ? 5.0
                                                         : 10.0);
  return grid;
}

std::optional<cdouble> cell_load(const MapGrid& grid, std::size_t column, std::size_t row) {
  const cdouble point = cell_point(grid, column, row);
  cdouble z = point;
  if (grid.plane == MapPlane::reflection) {
    if (std::norm(point) > 1.0 || point == 1.0) return std::nullopt;
    z = grid.reference_ohm * (1.0 + point) / (1.0 - point);
    if (z.real() < 0.0) z = {0.0, z.imag()};  // rounding, on the rim
  }
  if (z.real() < 0.0) return std::nullopt;
  return z;
}

RangeMap map_range(const TunerTree& tree, const MapGrid& grid, double swr_limit, double power_w, Goal goal,
                   unsigned threads) {
  check(grid);
  check_power(power_w);
  detail::check_swr_limit(swr_limit);
  const detail::TreeData& data = detail::data_of(tree);
  RangeMap map{grid, data.table.frequency_hz, swr_limit, {data.z_source, power_w}, {}};
  map.cells.resize(grid.columns * grid.rows);
  std::vector<std::size_t> cells;
  std::vector<cdouble> loads;
  for (std::size_t n = 0; n < map.cells.size(); ++n) {
    if (const auto z = cell_load(grid, n % grid.columns, n / grid.columns)) {
      cells.push_back(n);
      loads.push_back(*z);
    }
  }
  const std::vector<StateScore> scores = scores_of(tree, loads, swr_limit, goal, threads);
  const Filler filler(data, power_w, swr_limit);
  in_blocks(loads.size(), 1024, threads, [&](std::size_t first, std::size_t last) {
    for (std::size_t n = first; n < last; ++n) map.cells[cells[n]] = filler.cell(loads[n], scores[n]);
  });
  return map;
}

BandRange band_range(const Tuner& tuner, const network::Source& source, std::span<const double> frequency_hz,
                     const std::function<cdouble(double)>& load, double swr_limit, Goal goal) {
  check_power(source.power_w);
  detail::check_swr_limit(swr_limit);
  BandRange band;
  bool in_hole = false;
  for (const double f : frequency_hz) {
    // One load at a frequency does not pay for a tree.
    const TunerTable table = tabulate(tuner, f);
    const cdouble z = load(f);
    const TunerChoice choice = choose_state(tuner, table, source.z_ohm, z, swr_limit);
    const TunerSetting* setting = goal == Goal::least_swr    ? &choice.least_swr
                                  : goal == Goal::least_loss ? &choice.least_loss
                                                             : &choice.most_delivered;
    if (setting->status != TunerStatus::found) setting = &choice.least_swr;
    MapCell cell;
    cell.z_load_ohm = z;
    cell.status = choice.least_loss.status;  // found when some state is within the limit
    cell.swr = cell.dissipation_db = network::infinite;
    if (setting->status == TunerStatus::found) {
      cell.index = setting->state.index;
      cell.swr = setting->swr;
      cell.dissipation_db = setting->dissipation_db;
      cell.stress = worst_stress(tuner, table, setting->state, source, z);
    }
    band.frequency_hz.push_back(f);
    band.cells.push_back(cell);
    const bool hole = cell.status != TunerStatus::found;
    if (hole && !in_hole) band.holes.push_back({f, f, 0.0});
    if (hole) {
      band.holes.back().high_hz = f;
      band.holes.back().worst_swr = std::max(band.holes.back().worst_swr, cell.swr);
    }
    in_hole = hole;
  }
  return band;
}

}  // namespace stile::tuner
