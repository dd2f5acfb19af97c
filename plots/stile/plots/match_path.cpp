#include <algorithm>
#include <cmath>
#include <span>
#include <variant>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/chain.hpp>
#include <stile/plots/smith.hpp>

namespace stile::plots {
namespace {

constexpr double fine = 0.02;  // distance of neighbouring points in the reflection plane
constexpr double most_points = 4000.0;

template <class... F>
struct Overloaded : F... {
  using F::operator()...;
};
template <class... F>
Overloaded(F...) -> Overloaded<F...>;

std::size_t pieces(double arc) { return static_cast<std::size_t>(std::ceil(std::clamp(arc / fine, 2.0, most_points))); }

/// Values t = 0..1 at which start + t growth + reference, seen through 1/x, moves by equal steps. Where the pole lies
/// (nearly) on the real axis the curve is straight and the steps are only about equal.
std::vector<double> equal_steps(cdouble start, cdouble growth, double reference) {
  const cdouble pole = -(start + reference) / growth;
  const double outside = std::abs(pole.real() - std::clamp(pole.real(), 0.0, 1.0));
  const double width = std::max(std::abs(pole.imag()), 0.1 * outside);
  if (!(width > 0.0) || !std::isfinite(width)) return {0.0, 1.0};
  const double first = std::atan(-pole.real() / width), last = std::atan((1.0 - pole.real()) / width);
  const std::size_t n = pieces(2.0 * reference / std::abs(growth) / width * (last - first));
  std::vector<double> all{0.0};
  for (std::size_t i = 1; i < n; ++i) {
    const double phi = first + (last - first) * static_cast<double>(i) / static_cast<double>(n);
    all.push_back(std::clamp(pole.real() + width * std::tan(phi), 0.0, 1.0));
  }
  all.push_back(1.0);
  return all;
}

std::vector<cdouble> series_path(cdouble z, cdouble z_element, double reference_ohm) {
  if (z_element == 0.0) return {z, z};
  std::vector<cdouble> path;
  for (const double t : equal_steps(z, z_element, reference_ohm)) path.push_back(z + t * z_element);
  return path;
}

std::vector<cdouble> shunt_path(cdouble z, cdouble z_element, double reference_ohm) {
  require(z_element != 0.0, "a shunt part must not be a short circuit");
  if (z == 0.0) return {z, z};  // across a short circuit nothing changes
  const cdouble y = 1.0 / z, y_element = 1.0 / z_element;
  std::vector<cdouble> path;
  for (const double t : equal_steps(y, y_element, 1.0 / reference_ohm)) {
    const cdouble sum = y + t * y_element;
    if (sum != 0.0) path.push_back(1.0 / sum);  // an open circuit on the way has no impedance
  }
  require(y + y_element != 0.0, "a shunt part ends in an open circuit");
  return path;
}

cdouble reflection_of(cdouble z, double reference_ohm) { return (z - reference_ohm) / (z + reference_ohm); }

std::vector<cdouble> line_path(cdouble z, const network::TransmissionLine& line, double frequency_hz,
                               double reference_ohm) {
  const network::LineConstants constants = network::line_constants(line, frequency_hz);
  const auto at = [&](double t) {
    const network::Chain piece = network::line_chain(constants, t * line.length_m);
    return network::input_impedance(std::span(&piece, 1), z);
  };
  std::vector<cdouble> path{z};
  // A mismatched line turns the reflection unevenly: halve what is too long.
  const auto walk = [&](const auto& self, double from, double to, cdouble z_to, int depth) -> void {
    const double move = std::abs(reflection_of(z_to, reference_ohm) - reflection_of(path.back(), reference_ohm));
    if (move > fine && depth > 0) {
      const double middle = 0.5 * (from + to);
      self(self, from, middle, at(middle), depth - 1);
      self(self, middle, to, z_to, depth - 1);
    } else {
      path.push_back(z_to);
    }
  };
  const std::size_t n = pieces(2.0 * constants.gamma_per_m.imag() * line.length_m);
  for (std::size_t i = 0; i < n; ++i) {
    const double from = static_cast<double>(i) / static_cast<double>(n);
    const double to = static_cast<double>(i + 1) / static_cast<double>(n);
    walk(walk, from, to, at(to), 10);
  }
  return path;
}

std::string step_label(const network::Element& element) {
  const std::string value = element.place == network::Place::cascade
                                ? network::value_text(element.part)
                                : network::place_name(element.place) + " " + network::value_text(element.part);
  return element.label.empty() ? value : element.label + ", " + value;
}

}  // namespace

std::vector<MatchStep> match_path(const network::Ladder& ladder, double frequency_hz, cdouble z_load_ohm,
                                  double reference_ohm) {
  require(network::finite(z_load_ohm) && z_load_ohm.real() >= 0.0, "the load must be finite with a real part >= 0");
  require(reference_ohm > 0.0 && std::isfinite(reference_ohm), "the reference must be > 0 and finite");
  std::vector<MatchStep> steps;
  cdouble z = z_load_ohm;
  for (auto element = ladder.elements.rbegin(); element != ladder.elements.rend(); ++element) {
    const network::Chain whole = network::chain(*element, frequency_hz);  // refuses what is out of range
    std::vector<cdouble> path =
        std::visit(Overloaded{[&](const network::Transformer&) {
                                return std::vector<cdouble>{z, network::input_impedance(std::span(&whole, 1), z)};
                              },
                              [&](const network::TransmissionLine& line) {
                                return line_path(z, line, frequency_hz, reference_ohm);
                              },
                              [&](const auto&) {
                                const cdouble z_element = network::impedance(element->part, frequency_hz);
                                return element->place == network::Place::series
                                           ? series_path(z, z_element, reference_ohm)
                                           : shunt_path(z, z_element, reference_ohm);
                              }},
                   element->part);
    z = path.back();
    steps.push_back({step_label(*element), std::move(path)});
  }
  return steps;
}

}  // namespace stile::plots
