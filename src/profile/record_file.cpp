// Header-only: the packaged library is built with exceptions.
#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#include <fmt/format.h>
#include <toml++/toml.h>

#include <sstream>

#include "seamwright/profile/print_record.h"

namespace seamwright {
namespace {

std::string quoted(const std::string& word) {
  std::ostringstream out;
  out << toml::value<std::string>(word);
  return out.str();
}

std::string number(double value) {
  const std::string digits = fmt::format("{}", value);
  return digits.find_first_of(".einf") == std::string::npos ? digits + ".0" : digits;
}

std::string print_text(const RecordedPrint& print) {
  std::string out =
      fmt::format("\n[[print]]\nwhat = {}\nestimated_s = {}\nestimated_g = {}\n",
                  quoted(print.what), number(print.estimated_s), number(print.estimated_g));
  if (print.printed_s) out += fmt::format("printed_s = {}\n", number(*print.printed_s));
  if (print.weighed_g) out += fmt::format("weighed_g = {}\n", number(*print.weighed_g));
  return out;
}

Error bad_record(const std::string& name, const toml::node& node, const std::string& what) {
  return {"bad-record", fmt::format("{}:{}: {}", name, node.source().begin.line, what)};
}

Status read_print(PrinterRecord& record, const toml::node& node, const std::string& name) {
  const toml::table* table = node.as_table();
  if (table == nullptr) return bad_record(name, node, "[[print]] holds keys and values");
  RecordedPrint print;
  print.what = (*table)["what"].value_or(std::string());
  print.estimated_s = (*table)["estimated_s"].value_or(0.0);
  print.estimated_g = (*table)["estimated_g"].value_or(0.0);
  print.printed_s = (*table)["printed_s"].value<double>();
  print.weighed_g = (*table)["weighed_g"].value<double>();
  const Status added = add_print(record, std::move(print));
  return added ? ok() : bad_record(name, node, added.error().message);
}

}  // namespace

std::string write_record(const PrinterRecord& record) {
  std::string out =
      "# Finished prints of one printer, the oldest first; written by `seamwright record`.\n"
      "# Estimates are the model's own, before any fitted factor.\n";
  out += fmt::format("printer = {}\n", quoted(record.printer));
  if (record.slide_clearance_mm)
    out += fmt::format("slide_clearance_mm = {}\n", number(*record.slide_clearance_mm));
  for (const RecordedPrint& print : record.prints) out += print_text(print);
  return out;
}

Result<PrinterRecord> read_record(std::string_view text, const std::string& name) {
  const toml::parse_result parsed = toml::parse(text, std::string_view(name));
  if (!parsed) {
    return Error{"bad-record", fmt::format("{}:{}: {}", name, parsed.error().source().begin.line,
                                           parsed.error().description())};
  }
  const toml::table& root = parsed.table();
  const auto printer = root["printer"].value<std::string>();
  if (!printer) return Error{"bad-record", name + ": the printer's name is missing"};
  PrinterRecord record{*printer, {}, root["slide_clearance_mm"].value<double>()};
  if (const toml::array* prints = root["print"].as_array()) {
    for (const toml::node& node : *prints) {
      const Status status = read_print(record, node, name);
      if (!status) return status.error();
    }
  }
  return record;
}

}  // namespace seamwright
