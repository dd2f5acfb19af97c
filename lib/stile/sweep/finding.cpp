#include <stile/sweep/finding.hpp>

#include <algorithm>

namespace stile::sweep {

std::string_view finding_name(FindingKind kind) {
  switch (kind) {
  case FindingKind::characters:
    return "characters";
  case FindingKind::option_line:
    return "option line";
  case FindingKind::decimal_comma:
    return "decimal comma";
  case FindingKind::columns:
    return "columns";
  case FindingKind::noise_block:
    return "noise block";
  case FindingKind::order:
    return "order";
  case FindingKind::duplicate:
    return "duplicate";
  case FindingKind::rounding:
    return "rounding";
  case FindingKind::reference:
    return "reference";
  case FindingKind::magnitude_only:
    return "magnitude only";
  case FindingKind::zero_frequency:
    return "zero frequency";
  case FindingKind::above_one:
    return "reflection above one";
  case FindingKind::open_circuit:
    return "open circuit";
  case FindingKind::high_reflection:
    return "high reflection";
  case FindingKind::noise_floor:
    return "noise floor";
  case FindingKind::jump:
    return "jump";
  case FindingKind::folded_reactance:
    return "folded reactance";
  case FindingKind::few_points:
    return "few points at a resonance";
  case FindingKind::cable:
    return "cable";
  case FindingKind::plane:
    return "calibration plane";
  case FindingKind::causality:
    return "causality";
  case FindingKind::not_passive:
    return "not passive";
  case FindingKind::not_reciprocal:
    return "not reciprocal";
  case FindingKind::one_path:
    return "one path";
  case FindingKind::repeated_columns:
    return "repeated columns";
  case FindingKind::ill_conditioned:
    return "ill-conditioned";
  case FindingKind::too_few:
    return "too few points";
  }
  return "";
}

bool has_finding(const std::vector<Finding>& findings, FindingKind kind) {
  return std::any_of(findings.begin(), findings.end(), [&](const Finding& f) { return f.kind == kind; });
}

}  // namespace stile::sweep
