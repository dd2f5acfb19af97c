#pragma once
// A station's coil as its plan sets it: text, JSON, CSV, charts and the tables of its build sheet.

#include <optional>
#include <string>
#include <vector>

#include <stile/coil/design.hpp>
#include <stile/plan/coil_prescription.hpp>
#include <stile/plots/chart.hpp>
#include <stile/plots/coil_sheet.hpp>
#include <stile/safety/cautions.hpp>

namespace stile::tools {

struct PrescriptionCase {
  std::string station;
  double power_w = 0.0;
  std::vector<std::string> conditions;  ///< shown
  std::vector<std::string> taken_on;    ///< bands on which the plan takes the arrangement wound; of inductances alone
  std::vector<std::string> others;      ///< arrangements that could be wound in its place; of inductances alone
  int tried = 0, refused = 0;           ///< of a search for the winding; 0: none
  plan::CoilPrescription prescribed;
  coil::DesignRequest request;
  coil::CoilDesign
      alternatives;  ///< what else the same winding could be tapped at: a band for each band and condition shown
  coil::Service service;
  std::vector<safety::Caution> cautions;
};

/// What does not hold, on one line; empty: everything does.
std::string prescription_failure(const PrescriptionCase& c);

std::string prescription_text(const PrescriptionCase& c);
std::string prescription_json(const PrescriptionCase& c);
std::string prescription_csv(const PrescriptionCase& c);
plots::CoilSheet prescription_sheet(const PrescriptionCase& c, double lead_m);

/// The taps as a ladder.
plots::Chart prescription_taps_chart(const PrescriptionCase& c);
/// Voltage along the coil on each band, in the setting where it is highest; nothing where it is bypassed everywhere.
std::optional<plots::Chart> prescription_voltage_chart(const PrescriptionCase& c);

}  // namespace stile::tools
