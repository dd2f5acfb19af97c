#include <stile/wire/detail/ground_table.hpp>

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>

#include <stile/base/constants.hpp>
#include <stile/base/detail/clones.hpp>
#include <stile/wire/detail/bessel.hpp>
#include <stile/wire/detail/fours.hpp>

namespace stile::wire::detail {

namespace {

constexpr double least_z_m = 0x1p-30;
constexpr std::size_t most = 8;     // coefficients in one direction
constexpr double tolerance = 1e-6;  // of the images: what the last coefficients may be
constexpr double most_phase = 4.0;  // of waves along a tile's side

/// out[z] = sum over the nodes of e[node][z] factor[node] J, where J is j0, in p j1; heights in fours.
STILE_CLONES
void accumulate(const KernelParts* factor, const Bessel01* bessel, const double* e, std::size_t nodes,
                std::size_t heights, KernelParts* out) {
  for (std::size_t block = 0; block < heights; block += 4) {
    double sum[4][8] = {};
    for (std::size_t i = 0; i < nodes; ++i) {
      const double* from = e + i * heights + block;
      double w[8];
      for (std::size_t c = 0; c < 8; ++c) w[c] = factor[i][c] * (c < 6 ? bessel[i].j0 : bessel[i].j1);
      for (std::size_t z = 0; z < 4; ++z) {
        for (std::size_t c = 0; c < 8; ++c) sum[z][c] += from[z] * w[c];
      }
    }
    for (std::size_t z = 0; z < 4; ++z) {
      for (std::size_t c = 0; c < 8; ++c) out[block + z][c] = sum[z][c];
    }
  }
}

// gcc and clang; without it they fail to keep eight sums apart.
using Sums = double __attribute__((vector_size(64)));

/// A polynomial, and where in its tile: -1..1 in both directions.
struct Spot {
  const KernelParts* c;
  const std::size_t* terms;
  std::size_t count;
  double rho, z;
};

/// Sum of c[rho][z] a[rho] b[z], with as many z as terms says for each rho; for spots in one tile, of which `lane` is
/// the first.
template <std::size_t spots>
inline void tile_sums(const Spot& tile, const Four* a, const Four* b, std::size_t lane, KernelParts* out) {
  Sums sum[spots] = {};
  const KernelParts* c = tile.c;
  for (std::size_t r = 0; r < tile.count; ++r) {
    Sums row[spots] = {};
    for (std::size_t h = 0; h < tile.terms[r]; ++h, ++c) {
      Sums of;
      std::memcpy(&of, c->data(), sizeof of);
      for (std::size_t n = 0; n < spots; ++n) row[n] += b[h][lane + n] * of;
    }
    for (std::size_t n = 0; n < spots; ++n) sum[n] += a[r][lane + n] * row[n];
  }
  for (std::size_t n = 0; n < spots; ++n) std::memcpy(out[lane + n].data(), &sum[n], sizeof sum[n]);
}

/// Those sums at each spot, a and b Chebyshev polynomials. Neighbours mostly lie in one tile.
STILE_CLONES
void evaluate(const Spot* spots, std::size_t count, KernelParts* out) {
  for (; count > 0; spots += 4, out += 4) {
    const std::size_t here = std::min<std::size_t>(4, count);
    count -= here;
    Four rho{}, z{}, a[most], b[most];
    for (std::size_t n = 0; n < here; ++n) {
      rho[n] = spots[n].rho;
      z[n] = spots[n].z;
    }
    a[0] = b[0] = Four{} + 1.0;
    a[1] = rho;
    b[1] = z;
    for (std::size_t n = 2; n < most; ++n) {
      a[n] = 2.0 * rho * a[n - 1] - a[n - 2];
      b[n] = 2.0 * z * b[n - 1] - b[n - 2];
    }
    if (here == 4 && spots[0].c == spots[1].c && spots[0].c == spots[2].c && spots[0].c == spots[3].c) {
      tile_sums<4>(spots[0], a, b, 0, out);
    } else {
      for (std::size_t n = 0; n < here; ++n) tile_sums<1>(spots[n], a, b, n, out);
    }
  }
}

/// Of one spot with the slopes, of a and of b: three times as many sums from the same coefficients, value, by rho, by
/// z.
STILE_CLONES
void evaluate_slopes(const KernelParts* c, const std::size_t* terms, std::size_t count, const double* a,
                     const double* slope_a, const double* b, const double* slope_b, double* out) {
  Sums value{}, by_rho{}, by_z{};
  for (std::size_t r = 0; r < count; ++r) {
    Sums row{}, slope{};
    for (std::size_t z = 0; z < terms[r]; ++z, ++c) {
      Sums of;
      std::memcpy(&of, c->data(), sizeof of);
      row += b[z] * of;
      slope += slope_b[z] * of;
    }
    value += a[r] * row;
    by_rho += slope_a[r] * row;
    by_z += a[r] * slope;
  }
  for (const Sums& sums : {value, by_rho, by_z}) {
    std::memcpy(out, &sums, sizeof sums);
    out += 8;
  }
}

/// T_0 .. T_(count-1) at x.
void chebyshev(double x, std::size_t count, double* t) {
  t[0] = 1.0;
  t[1] = x;
  for (std::size_t n = 2; n < count; ++n) t[n] = 2.0 * x * t[n - 1] - t[n - 2];
}

/// Slopes of T_0 .. T_(most-1) at x times a factor, from their values: T_n' = 2 n T_(n-1) + n/(n-2) T_(n-2)'.
void chebyshev_slopes(double x, const std::array<double, most>& t, double factor, std::array<double, most>& slope) {
  slope[0] = 0.0;
  slope[1] = factor;
  slope[2] = 4.0 * x * factor;
  for (std::size_t n = 3; n < most; ++n) {
    const double m = static_cast<double>(n);
    slope[n] = 2.0 * m * factor * t[n - 1] + m / (m - 2.0) * slope[n - 2];
  }
}

double root(std::size_t i, std::size_t count) {
  return std::cos(pi * (static_cast<double>(i) + 0.5) / static_cast<double>(count));
}

/// Values at the Chebyshev roots of both directions into coefficients, [rho][z] both.
std::vector<KernelParts> coefficients(const std::vector<KernelParts>& values, std::size_t count) {
  std::array<double, most * most> factor;  // [power][root]
  for (std::size_t i = 0; i < count; ++i) {
    std::array<double, most> t;
    chebyshev(root(i, count), count, t.data());
    for (std::size_t k = 0; k < count; ++k)
      factor[k * count + i] = (k == 0 ? 1.0 : 2.0) / static_cast<double>(count) * t[k];
  }
  std::vector<KernelParts> half(values.size(), KernelParts{}), c(values.size(), KernelParts{});
  for (std::size_t r = 0; r < count; ++r) {
    for (std::size_t k = 0; k < count; ++k) {
      for (std::size_t i = 0; i < count; ++i) {
        for (std::size_t n = 0; n < 8; ++n) half[r * count + k][n] += factor[k * count + i] * values[r * count + i][n];
      }
    }
  }
  for (std::size_t k = 0; k < count; ++k) {
    for (std::size_t i = 0; i < count; ++i) {
      for (std::size_t h = 0; h < count; ++h) {
        for (std::size_t n = 0; n < 8; ++n) c[k * count + h][n] += factor[k * count + i] * half[i * count + h][n];
      }
    }
  }
  return c;
}

GroundKernel kernel_of(const double* v) { return {{v[0], v[1]}, {v[2], v[3]}, {v[4], v[5]}, {v[6], v[7]}}; }

}  // namespace

struct GroundTable::Tile {
  std::vector<std::size_t> terms;  // of the polynomial in z for each power in rho; none: the children have them
  std::vector<KernelParts> c;      // [rho][z]
  mutable std::array<Slot, 4> children{};
};

GroundTable::GroundTable(const HalfSpace& ground) : ground_(ground) {}
GroundTable::~GroundTable() = default;

std::unique_ptr<GroundTable::Tile> GroundTable::fill(const Place& place) const {
  auto tile = std::make_unique<Tile>();
  const cdouble k1 = ground_.k1_rad_m();
  // Waves in the ground come up damped by distance and by height.
  const double damping = std::exp(0.5 * (k1.imag() * place.rho_m - std::abs(k1) * place.z_m));
  const double phase = place.side_m * (ground_.k0_rad_m + std::abs(k1) * damping);
  if (phase > most_phase) return tile;

  static const std::vector<GaussPoint> rule = gauss_rule(8);
  std::size_t count = place.side_m * std::abs(k1) < 0.02 ? 4 : most;
  const std::vector<SpectralPoint> nodes =
      spectral_points(ground_, {place.rho_m, place.rho_m + place.side_m, place.z_m, place.z_m + place.side_m}, rule);
  const BesselSeries& series = bessel_series();
  for (;; count = most) {
    std::vector<double> rho(count), z(count);
    for (std::size_t i = 0; i < count; ++i) {
      rho[i] = place.rho_m + 0.5 * place.side_m * (1.0 + root(i, count));
      z[i] = place.z_m + 0.5 * place.side_m * (1.0 + root(i, count));
    }
    // Below k0 the wave exp(-u0 z) is a phase: its real and its imaginary part are rows of their own.
    std::size_t rows = nodes.size();
    for (const SpectralPoint& s : nodes) rows += s.u0.imag() != 0.0 ? 1U : 0U;
    std::vector<double> wave(rows), e(rows * count);
    std::vector<KernelParts> factor(rows), values(count * count);
    std::vector<Bessel01> bessel(rows);
    std::size_t row = 0;
    const auto add = [&](const SpectralPoint& s, cdouble by) {
      const std::array<cdouble, 4> all{by * s.xx, by * s.zz, by * s.phi, by * s.p};
      for (std::size_t c = 0; c < 4; ++c) {
        factor[row][2 * c] = all[c].real();
        factor[row][2 * c + 1] = all[c].imag();
      }
      wave[row] = s.l;
      return &e[count * row++];
    };
    for (const SpectralPoint& s : nodes) {
      double* at = add(s, 1.0);
      if (s.u0.real() * place.side_m > 500.0) {
        for (std::size_t h = 0; h < count; ++h) at[h] = std::exp(-s.u0.real() * z[h]);
      } else if (s.u0.imag() == 0.0) {
        const double middle = std::exp(-s.u0.real() * (place.z_m + 0.5 * place.side_m));
        for (std::size_t h = 0; h < count / 2; ++h) {  // heights lie evenly about the middle
          const double off = std::exp(-s.u0.real() * (0.5 * (z[h] - z[count - 1 - h])));
          at[h] = middle * off;
          at[count - 1 - h] = middle / off;
        }
      } else {
        double* other = add(s, {0.0, 1.0});
        for (std::size_t h = 0; h < count; ++h) {
          at[h] = std::cos(s.u0.imag() * z[h]);
          other[h] = -std::sin(s.u0.imag() * z[h]);
        }
      }
    }
    for (std::size_t r = 0; r < count; ++r) {
      for (std::size_t i = 0; i < rows; ++i) bessel[i] = series(wave[i] * rho[r]);
      KernelParts* at = &values[count * r];
      accumulate(factor.data(), bessel.data(), e.data(), rows, count, at);
      for (std::size_t h = 0; h < count; ++h) {
        const cdouble p = p_image_change(ground_, rho[r], z[h]);
        at[h][6] += p.real();
        at[h][7] += p.imag();
      }
    }
    size_ += count * count;
    const std::vector<KernelParts> c = coefficients(values, count);
    const double scale = std::abs(ground_.contrast()) / std::hypot(rho[count / 2], z[count / 2]);
    const auto size = [&](std::size_t r, std::size_t h) {
      double m = 0.0;
      for (const double v : c[count * r + h]) m = std::max(m, std::abs(v));
      return m;
    };
    double last = 0.0;
    for (std::size_t i = 0; i < count; ++i) last = std::max({last, size(i, count - 1), size(count - 1, i)});
    if (last <= tolerance * scale) {
      for (std::size_t r = 0; r < count; ++r) {
        std::size_t h = count;
        while (h > 0 && size(r, h - 1) <= 0.2 * tolerance * scale) --h;
        tile->c.insert(tile->c.end(), &c[count * r], &c[count * r] + h);
        tile->terms.push_back(h);
      }
      return tile;
    }
    if (count == most) return tile;
  }
}

const GroundTable::Tile* GroundTable::filled(Slot& slot, const Place& place) const {
  const std::lock_guard lock(filling_);
  if (const Tile* there = slot.load(std::memory_order_acquire)) return there;
  tiles_.push_back(fill(place));
  slot.store(tiles_.back().get(), std::memory_order_release);
  return tiles_.back().get();
}

GroundTable::Found GroundTable::find(double rho_m, double z_m) const {
  z_m = std::max(z_m, least_z_m);
  // The side is the power of two below the larger of both: its bits without the mantissa.
  const double larger = std::clamp(std::max(rho_m, z_m), std::ldexp(1.0, lowest), std::ldexp(1.0, highest));
  const std::uint64_t exponent = std::bit_cast<std::uint64_t>(larger) >> 52;
  Place place{0.0, 0.0, std::bit_cast<double>(exponent << 52)};
  const int n = static_cast<int>(exponent) - 1023;
  const bool far = rho_m >= place.side_m, high = z_m >= place.side_m;
  if (far) place.rho_m = place.side_m;
  if (high) place.z_m = place.side_m;
  Slot* slot = &roots_[static_cast<std::size_t>(3 * (n - lowest) + (far ? (high ? 1 : 0) : 2))];
  const Tile* tile = slot->load(std::memory_order_acquire);
  if (tile == nullptr) tile = filled(*slot, place);
  while (tile->terms.empty()) {
    place.side_m *= 0.5;
    std::size_t child = 0;
    if (rho_m >= place.rho_m + place.side_m) place.rho_m += place.side_m, child += 1;
    if (z_m >= place.z_m + place.side_m) place.z_m += place.side_m, child += 2;
    slot = &tile->children[child];
    tile = slot->load(std::memory_order_acquire);
    if (tile == nullptr) tile = filled(*slot, place);
  }
  return {tile, std::min(2.0 * (rho_m - place.rho_m) / place.side_m - 1.0, 1.0),
          std::min(2.0 * (z_m - place.z_m) / place.side_m - 1.0, 1.0), place.side_m};
}

GroundKernel GroundTable::operator()(double rho_m, double z_m) const {
  KernelParts v;
  values(&rho_m, &z_m, 1, &v);
  return kernel_of(v.data());
}

void GroundTable::values(const double* rho_m, const double* z_m, std::size_t count, KernelParts* out) const {
  std::array<Spot, 16> spots;
  for (std::size_t first = 0; first < count; first += spots.size()) {
    const std::size_t here = std::min(spots.size(), count - first);
    for (std::size_t n = 0; n < here; ++n) {
      const Found at = find(rho_m[first + n], z_m[first + n]);
      spots[n] = {at.tile->c.data(), at.tile->terms.data(), at.tile->terms.size(), at.rho, at.z};
    }
    evaluate(spots.data(), here, out + first);
  }
}

KernelSlopes GroundTable::slopes(double rho_m, double z_m) const {
  const Found at = find(rho_m, z_m);
  std::array<double, most> a, b, slope_a, slope_b;
  chebyshev(at.rho, most, a.data());
  chebyshev(at.z, most, b.data());
  chebyshev_slopes(at.rho, a, 2.0 / at.side_m, slope_a);
  chebyshev_slopes(at.z, b, 2.0 / at.side_m, slope_b);
  std::array<double, 24> v;
  evaluate_slopes(at.tile->c.data(), at.tile->terms.data(), at.tile->terms.size(), a.data(), slope_a.data(), b.data(),
                  slope_b.data(), v.data());
  return {kernel_of(&v[0]), kernel_of(&v[8]), kernel_of(&v[16])};
}

}  // namespace stile::wire::detail
