#include <stile/plots/label_places.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <stile/base/constants.hpp>

namespace stile::plots::detail {
namespace {

bool overlap(const Box& a, const Box& b) {
  return a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y;
}

bool inside(Point p, const Box& box, double margin) {
  return p.x > box.low.x - margin && p.x < box.high.x + margin && p.y > box.low.y - margin && p.y < box.high.y + margin;
}

/// Which side of the line from a to b the point lies on.
double side(Point a, Point b, Point p) { return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x); }

bool cross(Point a, Point b, Point c, Point d) {
  return side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0;
}

Point nearest(const Box& box, Point p) {
  return {std::clamp(p.x, box.low.x, box.high.x), std::clamp(p.y, box.low.y, box.high.y)};
}

}  // namespace

double LabelPlaces::cost(const Box& box) const {
  double sum = 0.0;
  if (box.low.x < frame_.low.x || box.high.x > frame_.high.x || box.low.y < frame_.low.y ||
      box.high.y > frame_.high.y) {
    sum += 1e5;
  }
  for (const Box& other : taken_) sum += overlap(box, other) ? 1000.0 : 0.0;
  for (const Point& mark : marks_) sum += inside(mark, box, 5.0) ? 500.0 : 0.0;
  for (const Point& point : points_) sum += inside(point, box, 2.0) ? 20.0 : 0.0;
  return sum;
}

PlacedLabel LabelPlaces::place(Point at, double width_pt, double size_pt) {
  constexpr std::array<double, 9> distances{7.0, 11.0, 16.0, 23.0, 32.0, 44.0, 60.0, 80.0, 105.0};
  constexpr int directions = 24;
  const double w = width_pt + 2.0, h = size_pt + 2.0;
  PlacedLabel best;
  double least = std::numeric_limits<double>::infinity();
  for (const double distance : distances) {
    for (int k = 0; k < directions; ++k) {
      const double angle = two_pi * k / directions;
      const Point edge{at.x + distance * std::cos(angle), at.y + distance * std::sin(angle)};
      // The point of the box that faces the mark sits on the circle around it.
      const double left = edge.x - 0.5 * w * (1.0 - std::cos(angle));
      const double bottom = edge.y - 0.5 * h * (1.0 - std::sin(angle));
      const Box box{{left, bottom}, {left + w, bottom + h}};
      const Point to = nearest(box, at);
      double price = cost(box) + distance;
      for (const Box& other : leaders_) {
        price += cross(at, to, other.low, other.high) ? 300.0 : 0.0;
        for (int i = 1; i < 10; ++i) {  // a leader of another label under this box
          const double t = i / 10.0;
          const Point on{other.low.x + t * (other.high.x - other.low.x),
                         other.low.y + t * (other.high.y - other.low.y)};
          if (inside(on, box, 0.0)) price += 60.0;
        }
      }
      for (int i = 1; i < 10; ++i) {  // this label's leader across others
        const double t = i / 10.0;
        const Point on{at.x + t * (to.x - at.x), at.y + t * (to.y - at.y)};
        for (const Box& other : taken_) price += inside(on, other, 0.5) ? 60.0 : 0.0;
      }
      if (price >= least) continue;
      least = price;
      const double span = std::max(1.0, std::hypot(to.x - at.x, to.y - at.y));
      const double start = std::min(0.5, 4.0 / span);
      best = {box, distance > 12.0, {at.x + start * (to.x - at.x), at.y + start * (to.y - at.y)}, to};
    }
  }
  taken_.push_back(best.box);
  if (best.leader) leaders_.push_back({at, best.leader_to});
  return best;
}

}  // namespace stile::plots::detail
