#include "app/planned_print.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <nlohmann/json.hpp>
#include <vector>

namespace seamwright::app {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

Error bad_usage(std::string message) {
  return {"bad-usage", std::move(message)};
}

/// The current folder when it is a hand-off, else the only hand-off in it.
Result<fs::path> find_hand_off() {
  std::error_code ignored;
  if (fs::exists("plan.json", ignored)) return fs::path(".");
  std::vector<fs::path> found;
  for (const fs::directory_entry& entry : fs::directory_iterator(".", ignored)) {
    if (fs::exists(entry.path() / "plan.json", ignored)) found.push_back(entry.path());
  }
  if (found.size() == 1) return found.front();
  return bad_usage(found.empty() ? "record: no hand-off here; give its folder with --from"
                                 : fmt::format("record: {} hand-offs here; say which with --from",
                                               found.size()));
}

struct Asked {
  std::string word;
  fs::path folder;
};

/// A path to one of a hand-off's files names its folder and, by its stem, the piece or load.
Result<Asked> resolve(const std::string& word, const std::string& folder) {
  const fs::path path = word;
  if (path.has_parent_path()) {
    const fs::path above = path.parent_path();
    const bool is_file = above.filename() == "pieces" || above.filename() == "loads";
    const fs::path home = is_file ? above.parent_path() : above;
    return Asked{path.stem().string(), home.empty() ? fs::path(".") : home};
  }
  if (!folder.empty()) return Asked{word, folder};
  const Result<fs::path> found = find_hand_off();
  if (!found) return found.error();
  return Asked{word, *found};
}

std::vector<std::string> marks_in(const std::string& word, const Json& plan) {
  if (plan.contains("loads")) {
    for (const Json& load : plan.at("loads")) {
      if (load.value("id", "") == word) return load.at("pieces").get<std::vector<std::string>>();
    }
  }
  std::vector<std::string> marks{""};
  for (const char c : word) {
    if (c == '+') {
      marks.emplace_back();
    } else {
      marks.back() += c;
    }
  }
  return marks;
}

/// By its mark, or by its id in the plan.
const Json* find_piece(const Json& plan, const std::string& mark) {
  for (const Json& piece : plan.at("pieces")) {
    if (piece.at("mark") == mark || piece.at("id") == mark) return &piece;
  }
  return nullptr;
}

double start_s(const Json& plan, const std::string& printer) {
  for (const Json& entry : plan.at("printers")) {
    if (entry.at("name") == printer) return entry.value("start_s", 0.0);
  }
  return 0;
}

std::string known_marks(const Json& plan) {
  std::string text;
  for (const Json& piece : plan.at("pieces"))
    text += (text.empty() ? "" : ", ") + piece.at("mark").get<std::string>();
  return text;
}

Result<PlannedPrint> sum_pieces(const Json& plan, const std::string& word) {
  PlannedPrint out{word};
  for (const std::string& mark : marks_in(word, plan)) {
    const Json* piece = find_piece(plan, mark);
    if (piece == nullptr)
      return bad_usage(
          fmt::format("record: no piece {} in this plan; it has {}", mark, known_marks(plan)));
    const auto printer = piece->at("printer").get<std::string>();
    const bool is_first = out.printer.empty();
    if (!is_first && out.printer != printer)
      return bad_usage(fmt::format("record: {} is planned for \"{}\", the others for \"{}\"", mark,
                                   printer, out.printer));
    out.printer = printer;
    out.estimated_s +=
        piece->at("model_print_s").get<double>() - (is_first ? 0 : start_s(plan, printer));
    out.estimated_g += piece->at("model_mass_g").get<double>();
  }
  return out;
}

}  // namespace

Result<PlannedPrint> planned_print(const std::string& word, const std::string& folder) {
  const Result<Asked> asked = resolve(word, folder);
  if (!asked) return asked.error();
  const fs::path path = asked->folder / "plan.json";
  std::ifstream in(path, std::ios::binary);
  const Json plan = in ? Json::parse(in, nullptr, false) : Json();
  if (!plan.is_object())
    return bad_usage(fmt::format("record: {} is no hand-off's plan.json", path.string()));
  try {
    return sum_pieces(plan, asked->word);
  } catch (const Json::exception&) {
    return bad_usage(
        fmt::format("record: {} lacks the estimates of {}: split the part again, with this version",
                    path.string(), asked->word));
  }
}

}  // namespace seamwright::app
