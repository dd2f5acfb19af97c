// Currents from the matrix: antennas that differ in what is in series with a few current functions are eliminated up to
// those together.

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include <Eigen/Core>
#include <Eigen/LU>

#include <stile/base/detail/symmetric.hpp>
#include <stile/base/errors.hpp>
#include <stile/network/chain.hpp>
#include <stile/wire/detail/matrix.hpp>

namespace stile::wire::detail {

namespace {

using Eigen::MatrixXcd;
using Eigen::VectorXcd;
using Series = std::vector<MatrixEntry>;

Eigen::Index index(std::size_t n) { return static_cast<Eigen::Index>(n); }

/// The current functions: first those in which all antennas are alike, then those in which one differs.
struct Order {
  std::vector<std::size_t> functions;
  std::vector<std::size_t> places;  // of each function among them
  std::size_t alike = 0;
};

Order order_of(std::size_t n, const std::vector<Series>& series) {
  std::vector<bool> differs(n, false);
  for (const Series& of : series) {
    for (std::size_t e = 0; e < of.size(); ++e) {
      if (of[e].ohm != series.front()[e].ohm) differs[of[e].row] = differs[of[e].column] = true;
    }
  }
  Order order{{}, std::vector<std::size_t>(n), 0};
  for (const bool last : {false, true}) {
    for (std::size_t f = 0; f < n; ++f) {
      if (differs[f] != last) continue;
      order.places[f] = order.functions.size();
      order.functions.push_back(f);
    }
    if (!last) order.alike = order.functions.size();
  }
  return order;
}

std::vector<cdouble> finite(std::vector<cdouble> x) {
  require(std::all_of(x.begin(), x.end(), [](cdouble i) { return network::finite(i); }),
          "the antenna's equations have no finite solution");
  return x;
}

/// Every antenna by itself, with pivoting; of each place.
std::vector<std::vector<cdouble>> pivoted(const std::vector<std::vector<double>>& places,
                                          const std::vector<cdouble>& couplings, const Series& series) {
  const std::size_t n = places.front().size();
  MatrixXcd z = Eigen::Map<const MatrixXcd>(couplings.data(), index(n), index(n));
  for (const MatrixEntry& e : series) z(index(e.row), index(e.column)) += e.ohm;
  z.triangularView<Eigen::StrictlyUpper>() = z.transpose();
  const Eigen::PartialPivLU<MatrixXcd> factors(z);
  std::vector<std::vector<cdouble>> all;
  for (const std::vector<double>& place : places) {
    const VectorXcd x = factors.solve(Eigen::Map<const Eigen::VectorXd>(place.data(), index(n)).cast<cdouble>());
    all.push_back(finite({x.data(), x.data() + x.size()}));
  }
  return all;
}

/// Largest residual of an equation against the sizes of its terms.
double backward_error(const std::vector<double>& place, const std::vector<cdouble>& couplings, const Series& series,
                      const std::vector<cdouble>& x) {
  const std::size_t n = place.size();
  std::vector<cdouble> sums(place.begin(), place.end());
  std::vector<double> sizes(n, 0.0), x_size(n);
  for (std::size_t f = 0; f < n; ++f) x_size[f] = std::abs(x[f].real()) + std::abs(x[f].imag());
  const auto add = [&](std::size_t row, std::size_t column, cdouble ohm) {
    const double size = std::abs(ohm.real()) + std::abs(ohm.imag());
    sums[row] -= cdouble{ohm.real() * x[column].real() - ohm.imag() * x[column].imag(),
                         ohm.real() * x[column].imag() + ohm.imag() * x[column].real()};
    sizes[row] += size * x_size[column];
  };
  const auto add_both = [&](std::size_t row, std::size_t column, cdouble ohm) {
    add(row, column, ohm);
    if (row != column) add(column, row, ohm);
  };
  for (std::size_t column = 0; column < n; ++column) {
    for (std::size_t row = column; row < n; ++row) add_both(row, column, couplings[row + n * column]);
  }
  for (const MatrixEntry& e : series) add_both(e.row, e.column, e.ohm);
  double worst = 0.0;
  for (std::size_t f = 0; f < n; ++f) {
    const double residual = std::abs(sums[f].real()) + std::abs(sums[f].imag());
    if (!(residual <= worst * sizes[f])) worst = residual / sizes[f];
  }
  return worst;
}

}  // namespace

std::vector<std::vector<std::vector<cdouble>>> solve_currents(const std::vector<std::vector<double>>& places,
                                                              const std::vector<cdouble>& couplings,
                                                              const std::vector<Series>& series) {
  const std::size_t n = places.front().size();
  const Order order = order_of(n, series);
  const std::size_t alike = order.alike, rest = n - alike;
  const auto of_rest = [&](const MatrixEntry& e) {
    return order.places[e.row] >= alike && order.places[e.column] >= alike;
  };
  std::vector<cdouble> common = couplings;
  for (const MatrixEntry& e : series.front()) {
    if (!of_rest(e)) common[e.row + n * e.column] += e.ohm;
  }
  stile::detail::SymmetricSystem system(alike, rest + places.size());
  MatrixXcd corner(index(rest), index(rest));
  for (std::size_t column = 0; column < n; ++column) {
    for (std::size_t row = column; row < n; ++row) {
      const auto [first, last] = std::minmax(order.places[row], order.places[column]);
      const cdouble ohm = common[row + n * column];
      if (last < alike)
        system.set(last, first, ohm);
      else if (first < alike)
        system.set_right(first, last - alike, ohm);
      else
        corner(index(first - alike), index(last - alike)) = corner(index(last - alike), index(first - alike)) = ohm;
    }
  }
  for (std::size_t p = 0; p < places.size(); ++p) {
    for (std::size_t f = 0; f < alike; ++f) {
      if (const double weight = places[p][order.functions[f]]; weight != 0.0) system.set_right(f, rest + p, weight);
    }
  }

  std::vector<std::vector<std::vector<cdouble>>> all(series.size());
  if (!system.eliminate()) {
    for (std::size_t a = 0; a < series.size(); ++a) all[a] = pivoted(places, couplings, series[a]);
    return all;
  }
  MatrixXcd right(index(rest), index(places.size()));
  for (std::size_t r = 0; r < rest; ++r) {
    for (std::size_t c = 0; c < rest; ++c) corner(index(r), index(c)) -= system.condensed(r, c);
    for (std::size_t p = 0; p < places.size(); ++p)
      right(index(r), index(p)) = places[p][order.functions[alike + r]] - system.condensed(r, rest + p);
  }
  for (std::size_t a = 0; a < series.size(); ++a) {
    MatrixXcd own = corner, last(index(rest), index(places.size()));
    for (const MatrixEntry& e : series[a]) {
      if (!of_rest(e)) continue;
      const Eigen::Index row = index(order.places[e.row] - alike), column = index(order.places[e.column] - alike);
      own(row, column) += e.ohm;
      if (row != column) own(column, row) += e.ohm;
    }
    if (rest > 0) last = own.partialPivLu().solve(right);
    for (std::size_t p = 0; p < places.size(); ++p) {
      std::vector<cdouble> weights(rest + places.size(), 0.0), x(n);
      weights[rest + p] = 1.0;
      for (std::size_t r = 0; r < rest; ++r) {
        x[order.functions[alike + r]] = last(index(r), index(p));
        weights[r] = -last(index(r), index(p));
      }
      const std::vector<cdouble> first = system.solve(weights);
      for (std::size_t f = 0; f < alike; ++f) x[order.functions[f]] = first[f];
      all[a].push_back(std::move(x));
    }
    // What the antennas have in common may be near to a resonance of its own where none of them is.
    constexpr double most_error = 1e-10;
    for (std::size_t p = 0; p < places.size(); ++p) {
      if (backward_error(places[p], couplings, series[a], all[a][p]) <= most_error) continue;
      all[a] = pivoted(places, couplings, series[a]);
      break;
    }
  }
  return all;
}

std::vector<cdouble> solve_currents(const Mesh& mesh, const std::vector<cdouble>& matrix) {
  return std::move(solve_currents({feed_weights(mesh)}, matrix, {{}}).front().front());
}

}  // namespace stile::wire::detail
