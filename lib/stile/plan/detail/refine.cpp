#include <stile/plan/detail/refine.hpp>

#include <algorithm>
#include <cmath>
#include <map>

namespace stile::plan::detail {

std::vector<double> worth_looking(const std::vector<double>& value, const std::vector<double>& height) {
  constexpr double finest = 1.0 / 512.0, least_rise = 1e-9;
  std::vector<double> middles;
  if (std::any_of(height.begin(), height.end(), [](double h) { return h > 0.0; })) return middles;
  const double span = value.back() - value.front();
  for (std::size_t k = 0; k < height.size(); ++k) {
    const bool left = k > 0, right = k + 1 < height.size();
    if (!std::isfinite(height[k]) || (left && height[k - 1] > height[k]) || (right && height[k + 1] > height[k]))
      continue;
    double step = 0.0;
    if (left) step = std::max(step, height[k] - height[k - 1]);
    if (right) step = std::max(step, height[k] - height[k + 1]);
    if (!(height[k] + step > least_rise)) continue;
    const auto between = [&](double a, double b) {
      if (b - a > finest * span) middles.push_back(0.5 * (a + b));
    };
    if (left) between(value[k - 1], value[k]);
    if (right) between(value[k], value[k + 1]);
  }
  std::sort(middles.begin(), middles.end());
  middles.erase(std::unique(middles.begin(), middles.end()), middles.end());
  return middles;
}

bool look_between(const station::Station& station, std::vector<Along>& along, std::vector<Judged>& judged,
                  const Heights& heights) {
  constexpr std::size_t most_looks = 24;
  bool any = false;
  for (std::size_t r = 0; r < along.size(); ++r) {
    Along& range = along[r];
    for (std::size_t looks = 0; looks < most_looks;) {
      std::map<double, double> beside;  // each place with the greatest height next to it
      for (const std::vector<double>& height : heights(r)) {
        for (const double place : worth_looking(range.value, height)) {
          const auto k = static_cast<std::size_t>(std::upper_bound(range.value.begin(), range.value.end(), place) -
                                                  range.value.begin());
          const double greatest = std::max(height[k - 1], height[k]);
          const auto [known, first] = beside.emplace(place, greatest);
          if (!first) known->second = std::max(known->second, greatest);
        }
      }
      std::vector<double> places;
      for (const auto& [place, height] : beside) places.push_back(place);
      std::stable_sort(places.begin(), places.end(), [&](double a, double b) { return beside[a] > beside[b]; });
      places.resize(std::min(places.size(), most_looks - looks));
      if (places.empty()) break;
      for (const double place : places) {
        const auto above = std::upper_bound(range.value.begin(), range.value.end(), place);
        const auto k = above - range.value.begin();
        range.value.insert(above, place);
        range.level.insert(range.level.begin() + k, std::nullopt);
        range.between.insert(range.between.begin() + k, char{1});
        range.corners.insert(range.corners.begin() + k, corner_along(station, range.input, place));
        for (Judged& j : judged)
          look_along(j, r, static_cast<std::size_t>(k), range.corners[static_cast<std::size_t>(k)]);
      }
      looks += places.size();
      any = true;
    }
  }
  return any;
}

}  // namespace stile::plan::detail
