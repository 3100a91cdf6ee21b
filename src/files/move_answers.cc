#include "files/move_answers.h"

#include "files/answers.h"
#include "files/internal/points.h"

namespace runtrue {

const char* word_of(PressChange::What what) {
  switch (what) {
    case PressChange::What::kKeep:
      return "keep";
    case PressChange::What::kAdd:
      return "add";
    case PressChange::What::kDrop:
      return "drop";
  }
  return "";
}

Json press_list_document(const std::vector<Press>& presses, int limit) {
  Json words = Json::array();
  for (const Press press : presses) words.push_back(word_of(press));
  const int count = static_cast<int>(presses.size());
  return {
      {"presses", std::move(words)}, {"count", count}, {"limit", limit}, {"fits", count <= limit}};
}

Json nearest_presses_document(const NearestPresses& nearest, int limit,
                              const std::vector<PressChange>& changes) {
  Json document = press_list_document(nearest.presses, limit);
  Json list = Json::array();
  for (const PressChange& change : changes) {
    list.push_back({{"press", word_of(change.press)}, {"change", word_of(change.what)}});
  }
  document["nearest"] = {{"farthest_off_mm", rounded_number(nearest.farthest_off.mm())},
                         {"end_off_mm", rounded_number(nearest.end_off.mm())},
                         {"end_heading_off_deg", rounded_number(nearest.end_heading_off.deg())},
                         {"changes", std::move(list)}};
  return document;
}

Json fitted_path_document(const FittedPath& fitted, const std::string& text) {
  return {{"text", text},
          {"count", fitted.moves.body.size()},
          {"start", pose_document(fitted.start)},
          {"farthest_off_mm", rounded_number(fitted.farthest_off.mm())},
          {"farthest_at_mm", internal::point_document(fitted.farthest_at)},
          {"corners_mm", internal::points_document(fitted.corners)}};
}

}  // namespace runtrue
