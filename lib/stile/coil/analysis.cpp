#include <stile/coil/analysis.hpp>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <span>

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <fmt/format.h>

#include <stile/base/constants.hpp>
#include <stile/base/errors.hpp>
#include <stile/coil/detail/arc.hpp>
#include <stile/coil/detail/symmetric_inverse.hpp>
#include <stile/conductor/skin.hpp>

namespace stile::coil {

namespace {

using Eigen::Index;
using Eigen::MatrixXcd;
using Eigen::MatrixXd;
using Eigen::VectorXcd;
using Eigen::VectorXd;

constexpr double same_place = 1e-9;         // turns
constexpr double no_resistance_ohm = 1e-7;  // a strap below this joins its ends
constexpr double close_wound = 0.8;         // wire over pitch from which resistance hangs on the last per cent of pitch

std::size_t unsigned_of(Index i) { return static_cast<std::size_t>(i); }

/// Sets of nodes that belong together.
class Groups {
public:
  explicit Groups(std::size_t n) : parent_(n) { std::iota(parent_.begin(), parent_.end(), std::size_t{0}); }
  std::size_t of(std::size_t i) const {
    while (parent_[i] != i) i = parent_[i];
    return i;
  }
  void join(std::size_t a, std::size_t b) { parent_[of(a)] = of(b); }

private:
  std::vector<std::size_t> parent_;
};

/// A piece of one turn between two nodes.
struct Piece {
  std::size_t turn, first_node, last_node;
  double from, to;  ///< within the turn, in turns
};

struct CircuitNode {
  WirePlace place;
  double z_m;
  Index charged;  ///< row of the capacitance matrix; -1: a cut, which carries no charge of its own
  double part;
};

/// The winding cut at every place of interest.
struct Circuit {
  std::vector<CircuitNode> nodes;
  std::vector<Piece> pieces;

  std::size_t node(const WirePlace& place) const {
    for (std::size_t i = 0; i < nodes.size(); ++i) {
      const WirePlace& p = nodes[i].place;
      if (p.section == place.section && std::abs(p.turn - place.turn) < same_place) return i;
    }
    throw DomainError("a place of the wire is not a node of the circuit");
  }
};

Circuit cut_winding(const CoilModel& model, const std::vector<WirePlace>& places) {
  for (const WirePlace& place : places) axial_position_m(model.winding, place);  // refuses what is not on the wire
  Circuit circuit;
  const TurnLayout& layout = model.layout;
  const auto add_charged = [&](std::size_t i) {
    const TurnLayout::Node& n = layout.nodes[i];
    circuit.nodes.push_back({{n.section, n.turn}, n.z_m, static_cast<Index>(i), n.part});
  };
  for (std::size_t t = 0; t < layout.turns.size(); ++t) {
    const TurnLayout::Turn& turn = layout.turns[t];
    if (t == 0 || layout.turns[t - 1].section != turn.section) add_charged(turn.first_node);
    const TurnLayout::Node& start = layout.nodes[turn.first_node];
    std::vector<double> cuts;
    for (const WirePlace& place : places) {
      const double within = place.turn - start.turn;
      if (place.section == turn.section && within > same_place && within < turn.part - same_place)
        cuts.push_back(within);
    }
    std::sort(cuts.begin(), cuts.end());
    double from = 0.0;
    for (std::size_t c = 0; c <= cuts.size(); ++c) {
      const bool last = c == cuts.size();
      const double to = last ? turn.part : cuts[c];
      if (to - from < same_place) continue;  // the same cut named twice
      const std::size_t before = circuit.nodes.size() - 1;
      if (last) {
        add_charged(turn.first_node + 1);
      } else {
        circuit.nodes.push_back({{turn.section, start.turn + to}, start.z_m + turn.pitch_m * to, -1, 0.0});
      }
      circuit.pieces.push_back({t, before, before + 1, from, to});
      from = to;
    }
  }
  return circuit;
}

/// Share of a ring's inductance between two of its pieces, by the arcs they span together and apart.
double piece_share(const CoilModel& model, const Piece& a, const Piece& b) {
  const auto share = [&](double part) {
    return part <= 0.0 ? 0.0
                       : detail::arc_inductance_share(0.5 * model.winding.diameter_m,
                                                      0.5 * model.winding.wire.diameter_m, part);
  };
  if (a.from == b.from && a.to == b.to) return a.to - a.from == 1.0 ? 1.0 : share(a.to - a.from);
  const Piece &first = a.from < b.from ? a : b, &second = a.from < b.from ? b : a;
  return 0.5 * (share(second.to - first.from) - share(second.from - first.from) - share(second.to - first.to) +
                share(second.from - first.to));
}

template <typename Matrix, typename Entry>
Matrix piece_matrix(const Circuit& circuit, const Entry& between) {
  const auto n = static_cast<Index>(circuit.pieces.size());
  Matrix z(n, n);
  for (Index i = 0; i < n; ++i) {
    for (Index j = 0; j <= i; ++j) {
      const Piece &a = circuit.pieces[unsigned_of(i)], &b = circuit.pieces[unsigned_of(j)];
      z(i, j) = z(j, i) = between(a, b);
    }
  }
  return z;
}

/// Impedances of the pieces: mutual ones by length, within one turn the reactance by arcs and the loss by length.
MatrixXcd piece_impedance(const CoilModel& model, const TurnSolution& turns, const Circuit& circuit) {
  return piece_matrix<MatrixXcd>(circuit, [&](const Piece& a, const Piece& b) -> cdouble {
    const cdouble z = turns.z_ohm(a.turn, b.turn);
    if (a.turn != b.turn) return z * (a.to - a.from) * (b.to - b.from);
    return {a.from == b.from ? z.real() * (a.to - a.from) : 0.0, z.imag() * piece_share(model, a, b)};
  });
}

std::span<const cdouble> entries(const MatrixXcd& m) { return {m.data(), static_cast<std::size_t>(m.size())}; }

/// Of a symmetric matrix.
MatrixXcd inverse_of(const MatrixXcd& m) {
  return Eigen::Map<const MatrixXcd>(detail::symmetric_inverse(entries(m)).values.data(), m.rows(), m.cols());
}

/// Which unknown voltage each node has; -1: grounded.
struct Unknowns {
  std::vector<Index> of_node;
  Index count = 0;
};

Unknowns number_unknowns(const Circuit& circuit, const std::vector<Strap>& straps, bool straps_ideal,
                         const std::vector<std::size_t>& grounded) {
  Groups groups(circuit.nodes.size());
  for (const Strap& s : straps) {
    if (straps_ideal || s.resistance_ohm < no_resistance_ohm) groups.join(circuit.node(s.a), circuit.node(s.b));
  }
  std::vector<Index> of_group(circuit.nodes.size(), -2);
  for (const std::size_t g : grounded) of_group[groups.of(g)] = -1;
  Unknowns u;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    Index& index = of_group[groups.of(i)];
    if (index == -2) index = u.count++;
    u.of_node.push_back(index);
  }
  return u;
}

/// One node of every part of the circuit that no wire or strap ties to `anchor`.
std::vector<std::size_t> loose_parts(const Circuit& circuit, const std::vector<Strap>& straps, std::size_t anchor) {
  Groups groups(circuit.nodes.size());
  for (const Piece& p : circuit.pieces) groups.join(p.first_node, p.last_node);
  for (const Strap& s : straps) groups.join(circuit.node(s.a), circuit.node(s.b));
  std::vector<std::size_t> seen{groups.of(anchor)}, loose;
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    const std::size_t g = groups.of(i);
    if (std::find(seen.begin(), seen.end(), g) != seen.end()) continue;
    seen.push_back(g);
    loose.push_back(i);
  }
  return loose;
}

/// Adds a matrix between pieces to the unknowns' matrix.
template <typename Matrix>
Matrix folded_pieces(const Circuit& circuit, const Unknowns& u, const Matrix& between_pieces) {
  // Incidence applied from both sides, entry by entry: each piece touches two unknowns.
  Matrix half = Matrix::Zero(u.count, between_pieces.cols());
  for (Index p = 0; p < between_pieces.rows(); ++p) {
    const Piece& piece = circuit.pieces[unsigned_of(p)];
    const Index a = u.of_node[piece.first_node], b = u.of_node[piece.last_node];
    if (a >= 0) half.row(a) += between_pieces.row(p);
    if (b >= 0) half.row(b) -= between_pieces.row(p);
  }
  Matrix full = Matrix::Zero(u.count, u.count);
  for (Index p = 0; p < between_pieces.cols(); ++p) {
    const Piece& piece = circuit.pieces[unsigned_of(p)];
    const Index a = u.of_node[piece.first_node], b = u.of_node[piece.last_node];
    if (a >= 0) full.col(a) += half.col(p);
    if (b >= 0) full.col(b) -= half.col(p);
  }
  return full;
}

MatrixXd folded_capacitance(const CoilModel& model, const Circuit& circuit, const Unknowns& u) {
  MatrixXd c = MatrixXd::Zero(u.count, u.count);
  for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
    for (std::size_t j = 0; j < circuit.nodes.size(); ++j) {
      const Index a = u.of_node[i], b = u.of_node[j], p = circuit.nodes[i].charged, q = circuit.nodes[j].charged;
      if (a >= 0 && b >= 0 && p >= 0 && q >= 0) c(a, b) += model.capacitance_f(unsigned_of(p), unsigned_of(q));
    }
  }
  return c;
}

/// Factor on every capacitance that the former makes.
cdouble dielectric_factor(const Former& f) {
  return 1.0 + f.field_share * (f.relative_permittivity * cdouble{1.0, -f.loss_tangent} - 1.0);
}

void add_straps(MatrixXcd& y, const Circuit& circuit, const Unknowns& u, const std::vector<Strap>& straps) {
  for (const Strap& s : straps) {
    const Index a = u.of_node[circuit.node(s.a)], b = u.of_node[circuit.node(s.b)];
    if (a == b || s.resistance_ohm < no_resistance_ohm) continue;
    const double g = 1.0 / s.resistance_ohm;
    if (a >= 0) y(a, a) += g;
    if (b >= 0) y(b, b) += g;
    if (a >= 0 && b >= 0) {
      y(a, b) -= g;
      y(b, a) -= g;
    }
  }
}

std::vector<WirePlace> strap_places(const std::vector<Strap>& straps) {
  std::vector<WirePlace> places;
  for (const Strap& s : straps) {
    require(s.resistance_ohm >= 0.0 && std::isfinite(s.resistance_ohm), "a strap's resistance must be >= 0 and finite");
    places.insert(places.end(), {s.a, s.b});
  }
  return places;
}

/// Everything a connection needs again and again.
struct Connected {
  Circuit circuit;
  std::size_t from = 0, to = 0;
  std::vector<std::size_t> grounded;
};

Connected connected(const CoilModel& model, const Connection& c) {
  std::vector<WirePlace> places = strap_places(c.straps);
  places.insert(places.end(), {c.from, c.to});
  Connected result{cut_winding(model, places), 0, 0, {}};
  result.from = result.circuit.node(c.from);
  result.to = result.circuit.node(c.to);
  const Unknowns ideal = number_unknowns(result.circuit, c.straps, true, {});
  require(ideal.of_node[result.from] != ideal.of_node[result.to],
          "the coil's two terminals are the same place or tied together");
  Groups groups(result.circuit.nodes.size());
  for (const Piece& p : result.circuit.pieces) groups.join(p.first_node, p.last_node);
  for (const Strap& s : c.straps) groups.join(result.circuit.node(s.a), result.circuit.node(s.b));
  require(groups.of(result.from) == groups.of(result.to), "no wire leads from one terminal of the coil to the other");
  if (c.grounded == Grounded::from) result.grounded = {result.from};
  if (c.grounded == Grounded::to) result.grounded = {result.to};
  return result;
}

double joined_self_resonance_hz(const CoilModel& model, const TurnSolution& turns, const Connection& connection,
                                const Connected& joined) {
  const double omega = two_pi * turns.frequency_hz;
  const Circuit& circuit = joined.circuit;
  const Unknowns u = number_unknowns(circuit, connection.straps, true, joined.grounded);
  const MatrixXd c = folded_capacitance(model, circuit, u) * dielectric_factor(model.winding.former).real();
  // Parts without ground may sit at any voltage: each gives a motion of no frequency, to be kept out of the search.
  std::vector<VectorXd> free_modes;
  {
    Groups groups(circuit.nodes.size());
    for (const Piece& p : circuit.pieces) groups.join(p.first_node, p.last_node);
    for (const Strap& s : connection.straps) groups.join(circuit.node(s.a), circuit.node(s.b));
    for (std::size_t g = 0; g < circuit.nodes.size(); ++g) {
      if (groups.of(g) != g) continue;
      const bool held =
          std::any_of(joined.grounded.begin(), joined.grounded.end(), [&](std::size_t k) { return groups.of(k) == g; });
      if (held) continue;
      VectorXd mode = VectorXd::Zero(u.count);
      for (std::size_t i = 0; i < circuit.nodes.size(); ++i) {
        if (groups.of(i) == g && u.of_node[i] >= 0) mode(u.of_node[i]) = 1.0;
      }
      for (const VectorXd& other : free_modes) mode -= other * other.dot(c * mode);
      free_modes.push_back(mode / std::sqrt(mode.dot(c * mode)));
    }
  }
  const double depth_ratio =
      0.5 * model.winding.wire.diameter_m /
      conductor::skin_depth_m(conductor::resistivity_ohm_m(model.winding.wire.metal, model.winding.wire.temperature_c),
                              turns.frequency_hz);
  double resonance_hz = turns.frequency_hz;
  for (int pass = 0; pass < 2; ++pass) {
    // Where the current stays near the surface its internal reactance equals its resistance and both go as the root of
    // the frequency, so the inductance can be carried to the resonance.
    const double less = depth_ratio > 2.0 ? 1.0 - std::sqrt(turns.frequency_hz / resonance_hz) : 0.0;
    const MatrixXd l = piece_matrix<MatrixXd>(circuit, [&](const Piece& a, const Piece& b) {
      const cdouble z = turns.z_ohm(a.turn, b.turn);
      const double x = z.imag() - less * z.real();
      return (a.turn == b.turn ? x * piece_share(model, a, b) : x * (a.to - a.from) * (b.to - b.from)) / omega;
    });
    const Eigen::LLT<MatrixXd> l_factors(l);
    if (l_factors.info() != Eigen::Success) return 0.0;
    MatrixXd stiffness = folded_pieces<MatrixXd>(circuit, u, l_factors.solve(MatrixXd::Identity(l.rows(), l.cols())));
    const double large = stiffness.trace() / c.trace();
    for (const VectorXd& mode : free_modes) stiffness += large * (c * mode) * (c * mode).transpose();
    const Eigen::LLT<MatrixXd> factors(stiffness);
    if (factors.info() != Eigen::Success) return 0.0;
    // Inverse iteration; the start is the shape of no particular mode.
    VectorXd x(u.count);
    for (Index i = 0; i < u.count; ++i)
      x(i) = 1.0 + std::cos(1.7 * static_cast<double>(i)) + static_cast<double>(i) / static_cast<double>(u.count);
    double square = 0.0;
    bool settled = false;
    for (int i = 0; i < 3000 && !settled; ++i) {
      for (const VectorXd& mode : free_modes) x -= mode * mode.dot(c * x);
      x /= std::sqrt(x.dot(c * x));
      const VectorXd next = factors.solve(c * x);
      const double now = 1.0 / x.dot(c * next);
      x = next;
      settled = std::abs(now - square) < 1e-11 * now;
      square = now;
    }
    if (!settled) return 0.0;
    resonance_hz = std::sqrt(square) / two_pi;
  }
  return resonance_hz;
}

std::vector<PointWarning> point_warnings(const CoilModel& model, const CoilPoint& point) {
  using Kind = PointWarningKind;
  std::vector<PointWarning> list;
  const double y = point.self_resonance_hz > 0.0 ? point.frequency_hz / point.self_resonance_hz : 0.0;
  if (y >= 1.0) {
    list.push_back(
        {Kind::above_resonance,
         fmt::format("{:.4g} MHz lies above the lowest self-resonance of {:.4g} MHz: the winding, open turns included,"
                     " is a resonator there and must not be taken as an inductance",
                     point.frequency_hz * 1e-6, point.self_resonance_hz * 1e-6)});
  } else if (y > 0.5) {
    list.push_back(
        {Kind::near_resonance,
         fmt::format("{:.4g} MHz is {:.0f} % of the self-resonance of {:.4g} MHz: apparent inductance and loss depend"
                     " on what stands near the coil",
                     point.frequency_hz * 1e-6, 100.0 * y, point.self_resonance_hz * 1e-6)});
  }
  if (point.self_resonance_hz == 0.0) list.push_back({Kind::no_resonance, "the self-resonance was not found"});
  if (model.rings.currents == CurrentModel::even) {
    list.push_back({Kind::no_proximity, "proximity effect is left out: the resistance is too low and Q too high"});
  }
  double closest = model.winding.sections.front().pitch_m;
  for (const Section& s : model.winding.sections)
    closest = std::min({closest, s.pitch_m, s.last_pitch_m > 0.0 ? s.last_pitch_m : s.pitch_m});
  if (model.winding.wire.diameter_m >= close_wound * closest) {
    list.push_back(
        {Kind::close_winding,
         fmt::format(
             "wire {:.3g} of the pitch: so close, one per cent of pitch moves the resistance by several per cent and "
             "published"
             " tables differ by up to a factor of two, so the band shown for Q does not cover it; enamel, which is not"
             " modelled, lowers the resonance",
             model.winding.wire.diameter_m / closest)});
  }
  const double round_m = pi * model.winding.diameter_m, wave_m = speed_of_light_m_s / point.frequency_hz;
  if (round_m > 0.1 * wave_m) {
    list.push_back(
        {Kind::radiates,
         fmt::format(
             "a turn of {} is more than a tenth of the wavelength at {}: the coil radiates, which is not in the model",
             print_quantity(round_m, Unit::metre, 3), print_quantity(point.frequency_hz, Unit::hertz))});
  }
  return list;
}

}  // namespace

CoilModel coil_model(const Winding& winding, const RingOptions& rings, ChargeModel charges) {
  return {winding, turn_layout(winding), node_capacitance_f(winding, charges), rings};
}

TurnSolution solve_turns(const CoilModel& model, double frequency_hz) {
  return {frequency_hz, turn_impedance_ohm(model.winding, frequency_hz, model.rings)};
}

Connection whole(const Winding& winding, Grounded grounded) {
  check(winding);
  Connection c;
  c.from = {0, 0.0};
  c.to = {winding.sections.size() - 1, winding.sections.back().turns};
  c.grounded = grounded;
  for (std::size_t s = 1; s < winding.sections.size(); ++s) {
    c.straps.push_back({{s - 1, winding.sections[s - 1].turns}, {s, 0.0}, 0.0});
  }
  return c;
}

Connection tapped(const Winding& winding, double turns, Unused unused, Grounded grounded, double switch_ohm) {
  check(winding);
  require(winding.sections.size() == 1, "a tap by its turn alone needs a winding of one section");
  const double all = winding.sections.front().turns;
  if (!(turns > 0.0 && turns <= all))
    throw DomainError(fmt::format("a tap at {} turns: legal is above 0 to {}", turns, all));
  require(switch_ohm >= 0.0 && std::isfinite(switch_ohm), "the resistance of a switch must be >= 0 and finite");
  Connection c{{0, 0.0}, {0, turns}, grounded, {}};
  if (unused == Unused::shorted && all - turns > same_place) c.straps.push_back({{0, turns}, {0, all}, switch_ohm});
  return c;
}

CoilPoint analyse(const CoilModel& model, const TurnSolution& turns, const Connection& connection) {
  const Connected joined = connected(model, connection);
  const Circuit& circuit = joined.circuit;
  const double omega = two_pi * turns.frequency_hz;
  const MatrixXcd z_pieces = piece_impedance(model, turns, circuit);
  const MatrixXcd y_pieces = inverse_of(z_pieces);
  CoilPoint point;
  point.frequency_hz = turns.frequency_hz;

  {  // magnetic alone: one end held, and one node of every part that hangs in the air
    std::vector<std::size_t> held = loose_parts(circuit, connection.straps, joined.to);
    held.push_back(joined.to);
    const Unknowns u = number_unknowns(circuit, connection.straps, false, held);
    MatrixXcd y = folded_pieces<MatrixXcd>(circuit, u, y_pieces);
    add_straps(y, circuit, u, connection.straps);
    VectorXcd drive = VectorXcd::Zero(u.count);
    drive(u.of_node[joined.from]) = 1.0;
    const VectorXcd v = y.partialPivLu().solve(drive);
    const cdouble z = v(u.of_node[joined.from]);
    point.inductance_h = z.imag() / omega;
    point.resistance_ohm = z.real();
    point.q = z.imag() / z.real();
    point.q_practice = {point.q / practical_loss.high, point.q / practical_loss.low};
  }

  const Unknowns u = number_unknowns(circuit, connection.straps, false, joined.grounded);
  const MatrixXd c = folded_capacitance(model, circuit, u);
  const cdouble dielectric = dielectric_factor(model.winding.former);
  MatrixXcd y = folded_pieces<MatrixXcd>(circuit, u, y_pieces) + cdouble{0.0, omega} * dielectric * c;
  add_straps(y, circuit, u, connection.straps);
  VectorXcd drive = VectorXcd::Zero(u.count);
  const Index from = u.of_node[joined.from], to = u.of_node[joined.to];
  if (from >= 0) drive(from) += 1.0;
  if (to >= 0) drive(to) -= 1.0;
  const VectorXcd v = y.partialPivLu().solve(drive);
  const auto voltage = [&](std::size_t node) { return u.of_node[node] < 0 ? cdouble{} : v(u.of_node[node]); };
  point.z_ohm = voltage(joined.from) - voltage(joined.to);
  point.apparent_inductance_h = point.z_ohm.imag() / omega;
  point.apparent_q = point.z_ohm.imag() / point.z_ohm.real();
  point.former_loss_ohm = -omega * dielectric.imag() * v.dot(c.cast<cdouble>() * v).real();

  VectorXcd across(z_pieces.rows());
  for (Index p = 0; p < across.size(); ++p) {
    const Piece& piece = circuit.pieces[unsigned_of(p)];
    across(p) = voltage(piece.first_node) - voltage(piece.last_node);
  }
  const VectorXcd current = y_pieces * across;
  const VectorXcd lost = z_pieces.real().cast<cdouble>() * current;
  point.turn_current_a.assign(model.layout.turns.size(), cdouble{});
  point.turn_loss_w.assign(model.layout.turns.size(), 0.0);
  for (Index p = 0; p < across.size(); ++p) {
    const std::size_t t = circuit.pieces[unsigned_of(p)].turn;
    point.turn_loss_w[t] += (std::conj(current(p)) * lost(p)).real();
    if (std::abs(current(p)) > std::abs(point.turn_current_a[t])) point.turn_current_a[t] = current(p);
  }
  for (const CircuitNode& node : circuit.nodes) {
    cdouble charge = 0.0;
    for (std::size_t j = 0; node.charged >= 0 && j < circuit.nodes.size(); ++j) {
      if (circuit.nodes[j].charged >= 0) {
        charge += model.capacitance_f(unsigned_of(node.charged), unsigned_of(circuit.nodes[j].charged)) * voltage(j);
      }
    }
    const double turn_m = std::hypot(pi * model.winding.diameter_m, model.winding.sections[node.place.section].pitch_m);
    const auto index = static_cast<std::size_t>(&node - circuit.nodes.data());
    point.nodes.push_back({node.place, node.z_m, voltage(index), std::abs(charge * dielectric), node.part * turn_m});
  }
  point.self_resonance_hz = joined_self_resonance_hz(model, turns, connection, joined);
  point.warnings = point_warnings(model, point);
  return point;
}

bool warns(const CoilPoint& point, PointWarningKind kind) {
  return std::any_of(point.warnings.begin(), point.warnings.end(),
                     [&](const PointWarning& w) { return w.kind == kind; });
}

std::vector<std::string> sweep_warnings(std::span<const CoilPoint> points) {
  std::vector<PointWarning> told;
  for (const CoilPoint& point : points) {
    for (const PointWarning& warning : point.warnings) {
      const bool once = warning.kind == PointWarningKind::above_resonance ||
                        warning.kind == PointWarningKind::near_resonance || warning.kind == PointWarningKind::radiates;
      const bool known = std::any_of(told.begin(), told.end(), [&](const PointWarning& t) {
        return t.kind == warning.kind && (once || t.text == warning.text);
      });
      if (!known) told.push_back(warning);
    }
  }
  std::vector<std::string> texts;
  texts.reserve(told.size());
  for (const PointWarning& t : told) texts.push_back(t.text);
  return texts;
}

Range terminal_q(const CoilPoint& p) {
  if (!(p.z_ohm.imag() > 0.0) || (p.self_resonance_hz > 0.0 && p.frequency_hz >= p.self_resonance_hz)) return {};
  const double winding = std::max(0.0, p.z_ohm.real() - p.former_loss_ohm);
  const auto with = [&](double factor) { return p.z_ohm.imag() / (p.z_ohm.real() + (factor - 1.0) * winding); };
  return {with(practical_loss.high), with(practical_loss.low)};
}

CoilPoint analyse(const Winding& winding, const Connection& connection, double frequency_hz) {
  const CoilModel model = coil_model(winding);
  return analyse(model, solve_turns(model, frequency_hz), connection);
}

double self_resonance_hz(const CoilModel& model, const TurnSolution& turns, const Connection& connection) {
  return joined_self_resonance_hz(model, turns, connection, connected(model, connection));
}

SquareMatrix<cdouble> place_impedance_ohm(const CoilModel& model, const TurnSolution& turns,
                                          const std::vector<WirePlace>& places, const std::optional<WirePlace>& ground,
                                          const std::vector<Strap>& straps) {
  std::vector<WirePlace> cuts = strap_places(straps);
  cuts.insert(cuts.end(), places.begin(), places.end());
  if (ground) cuts.push_back(*ground);
  const Circuit circuit = cut_winding(model, cuts);
  std::vector<std::size_t> grounded;
  if (ground) grounded.push_back(circuit.node(*ground));
  const Unknowns u = number_unknowns(circuit, straps, false, grounded);
  const MatrixXcd y_pieces = inverse_of(piece_impedance(model, turns, circuit));
  MatrixXcd y = folded_pieces<MatrixXcd>(circuit, u, y_pieces) + cdouble{0.0, two_pi * turns.frequency_hz} *
                                                                     dielectric_factor(model.winding.former) *
                                                                     folded_capacitance(model, circuit, u);
  add_straps(y, circuit, u, straps);
  std::vector<Index> rows;
  rows.reserve(places.size());
  for (const WirePlace& place : places) rows.push_back(u.of_node[circuit.node(place)]);
  std::vector<std::size_t> asked;  // each unknown once
  for (const Index row : rows) {
    if (row >= 0) asked.push_back(unsigned_of(row));
  }
  std::sort(asked.begin(), asked.end());
  asked.erase(std::unique(asked.begin(), asked.end()), asked.end());
  const SquareMatrix<cdouble> z = detail::inverse_entries(entries(y), asked);
  const auto place_of = [&](Index row) {
    return unsigned_of(std::lower_bound(asked.begin(), asked.end(), unsigned_of(row)) - asked.begin());
  };
  SquareMatrix<cdouble> result(places.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t j = 0; j < rows.size(); ++j)
      result(i, j) = rows[i] < 0 || rows[j] < 0 ? cdouble{} : z(place_of(rows[i]), place_of(rows[j]));
  }
  return result;
}

TurnSolution shifted(const TurnSolution& turns, double frequency_hz) {
  const double ratio = frequency_hz / turns.frequency_hz;
  require(ratio > 0.8 && ratio < 1.2, "turns can be carried to another frequency within 20 % only");
  TurnSolution result{frequency_hz, turns.z_ohm};
  for (cdouble& z : result.z_ohm.values) z = {z.real() * std::sqrt(ratio), z.imag() * ratio};
  return result;
}

}  // namespace stile::coil
