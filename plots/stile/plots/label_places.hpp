#pragma once
// Finding room for the names of points among lines, marks and other names. Internal.

#include <vector>

#include <stile/plots/page.hpp>

namespace stile::plots::detail {

struct Box {
  Point low, high;
};

struct PlacedLabel {
  Box box;
  bool leader = false;  ///< a line from the point to the label is needed
  Point leader_from, leader_to;
};

/// Greedy: each label takes the cheapest of places around its point, near ones first, and keeps it.
class LabelPlaces {
public:
  LabelPlaces(Point low, Point high) : frame_{low, high} {}
  void take(const Box& box) { taken_.push_back(box); }
  void avoid(Point line_point) { points_.push_back(line_point); }
  void avoid_mark(Point mark) { marks_.push_back(mark); }
  PlacedLabel place(Point at, double width_pt, double size_pt);
  /// What a label would cover: 0 where the box is free, more for a mark than for a line.
  double cost(const Box& box) const;

private:
  Box frame_;
  std::vector<Box> taken_;
  std::vector<Point> points_, marks_;
  std::vector<Box> leaders_;
};

}  // namespace stile::plots::detail
