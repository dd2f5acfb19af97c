#include <stile/plots/contours.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_map>

namespace stile::plots::detail {
namespace {

struct Segment {
  std::size_t from = 0, to = 0;  // sides of squares
  bool used = false;
};

/// Sides of the grid's squares by number: 2 cell is the one to the right of a cell, 2 cell + 1 the one above it.
class Sides {
public:
  Sides(std::span<const double> values, std::size_t columns, double level)
      : values_(values), columns_(columns), level_(level) {}

  std::size_t right_of(std::size_t column, std::size_t row) const { return 2 * (row * columns_ + column); }
  std::size_t above(std::size_t column, std::size_t row) const { return 2 * (row * columns_ + column) + 1; }

  Point crossing(std::size_t side) const {
    const std::size_t cell = side / 2, other = side % 2 == 0 ? cell + 1 : cell + columns_;
    const double t = (level_ - values_[cell]) / (values_[other] - values_[cell]);
    const Point at{static_cast<double>(cell % columns_), static_cast<double>(cell / columns_)};
    return side % 2 == 0 ? Point{at.x + t, at.y} : Point{at.x, at.y + t};
  }

private:
  std::span<const double> values_;
  std::size_t columns_;
  double level_;
};

/// The segments of one square; corners counted from the lower left, against the clock.
void add_square(const Sides& sides, std::size_t column, std::size_t row, const std::array<double, 4>& corner,
                double level, std::vector<Segment>& segments) {
  const std::array<std::size_t, 4> side{sides.right_of(column, row), sides.above(column + 1, row),
                                        sides.right_of(column, row + 1), sides.above(column, row)};
  std::array<std::size_t, 4> crossed{};
  std::size_t count = 0;
  for (std::size_t k = 0; k < 4; ++k) {
    if ((corner[k] > level) != (corner[(k + 1) % 4] > level)) crossed[count++] = side[k];
  }
  if (count == 2) segments.push_back({crossed[0], crossed[1]});
  if (count != 4) return;
  // A saddle: the middle decides which corners belong together.
  const bool middle = 0.25 * (corner[0] + corner[1] + corner[2] + corner[3]) > level;
  const std::size_t shift = middle == (corner[0] > level) ? 0 : 1;
  segments.push_back({side[shift], side[shift + 1]});
  segments.push_back({side[shift + 2], side[(shift + 3) % 4]});
}

}  // namespace

std::vector<std::vector<Point>> contour_lines(std::span<const double> values, std::size_t columns, std::size_t rows,
                                              double level) {
  const Sides sides(values, columns, level);
  std::vector<Segment> segments;
  for (std::size_t row = 0; row + 1 < rows; ++row) {
    for (std::size_t column = 0; column + 1 < columns; ++column) {
      const std::size_t cell = row * columns + column;
      const std::array<double, 4> corner{values[cell], values[cell + 1], values[cell + columns + 1],
                                         values[cell + columns]};
      if (std::all_of(corner.begin(), corner.end(), [](double v) { return std::isfinite(v); })) {
        add_square(sides, column, row, corner, level, segments);
      }
    }
  }

  std::unordered_multimap<std::size_t, std::size_t> at_side;
  for (std::size_t s = 0; s < segments.size(); ++s) {
    at_side.emplace(segments[s].from, s);
    at_side.emplace(segments[s].to, s);
  }
  const auto unused_at = [&](std::size_t side) {
    const auto range = at_side.equal_range(side);
    for (auto it = range.first; it != range.second; ++it) {
      if (!segments[it->second].used) return it->second;
    }
    return segments.size();
  };
  const auto walk = [&](std::size_t side, std::vector<Point>& line) {
    line.push_back(sides.crossing(side));
    for (std::size_t s = unused_at(side); s < segments.size(); s = unused_at(side)) {
      segments[s].used = true;
      side = segments[s].from == side ? segments[s].to : segments[s].from;
      line.push_back(sides.crossing(side));
    }
  };
  std::vector<std::vector<Point>> lines;
  for (std::size_t s = 0; s < segments.size(); ++s) {
    if (segments[s].used) continue;
    std::vector<Point> there, back;
    walk(segments[s].from, there);  // takes this segment, or its neighbour first
    walk(segments[s].from, back);
    std::reverse(back.begin(), back.end());
    back.insert(back.end(), there.begin() + 1, there.end());
    lines.push_back(std::move(back));
  }
  return lines;
}

std::vector<double> smoothed(std::span<const double> values, std::size_t columns, std::size_t rows) {
  std::vector<double> all(values.begin(), values.end());
  for (std::size_t cell = 0; cell < all.size(); ++cell) {
    if (std::isnan(all[cell])) continue;
    const std::size_t column = cell % columns, row = cell / columns;
    std::array<double, 9> near{};
    std::size_t count = 0;
    for (std::size_t r = row > 0 ? row - 1 : 0; r < std::min(rows, row + 2); ++r) {
      for (std::size_t c = column > 0 ? column - 1 : 0; c < std::min(columns, column + 2); ++c) {
        if (!std::isnan(values[r * columns + c])) near[count++] = values[r * columns + c];
      }
    }
    const auto middle = near.begin() + static_cast<std::ptrdiff_t>(count / 2);
    std::nth_element(near.begin(), middle, near.begin() + static_cast<std::ptrdiff_t>(count));
    all[cell] = *middle;
  }
  return all;
}

}  // namespace stile::plots::detail
