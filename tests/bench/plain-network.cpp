// The plain way that the network benchmark is measured against: links grouped by source, order, early and late dates,
// total and free float, with vectors. Reads the list of links from a file; prints for each round the seconds of all of
// it, of the pass alone, and a sum to compare.
#include <algorithm>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <vector>

struct List {
  std::vector<int32_t> sources, targets;
  std::vector<uint8_t> types;
  std::vector<double> lags;
};

template <class T> static void take(FILE* file, std::vector<T>& into, size_t count) {
  into.resize(count);
  if (fread(into.data(), sizeof(T), count, file) != count) exit(2);
}

int main(int argumentCount, char** arguments) {
  if (argumentCount < 3) return 2;
  FILE* file = fopen(arguments[1], "rb");
  if (!file) return 2;
  int32_t sizes[2];
  if (fread(sizes, 4, 2, file) != 2) return 2;
  const int n = sizes[0], m = sizes[1];
  std::vector<double> durations;
  List list;
  take(file, durations, n);
  take(file, list.lags, m);
  take(file, list.sources, m);
  take(file, list.targets, m);
  take(file, list.types, m);
  fclose(file);

  List g = list;
  std::vector<int32_t> firstLink(n + 1), next(n), order(n), waiting(n);
  std::vector<double> earlyStart(n), earlyFinish(n), lateStart(n), lateFinish(n), totalFloat(n), freeFloat(n);
  for (int round = atoi(arguments[2]); round > 0; round--) {
    const auto begun = std::chrono::steady_clock::now();

    std::fill(firstLink.begin(), firstLink.end(), 0);
    for (int32_t source : list.sources) firstLink[source + 1]++;
    for (int i = 0; i < n; i++) firstLink[i + 1] += firstLink[i];
    std::copy(firstLink.begin(), firstLink.end() - 1, next.begin());
    for (int k = 0; k < m; k++) {
      const int to = next[list.sources[k]]++;
      g.targets[to] = list.targets[k];
      g.types[to] = list.types[k];
      g.lags[to] = list.lags[k];
    }

    std::fill(waiting.begin(), waiting.end(), 0);
    for (int32_t target : g.targets) waiting[target]++;
    int placed = 0;
    for (int i = 0; i < n; i++)
      if (waiting[i] == 0) order[placed++] = i;
    for (int head = 0; head < placed; head++) {
      const int i = order[head];
      for (int k = firstLink[i]; k < firstLink[i + 1]; k++)
        if (--waiting[g.targets[k]] == 0) order[placed++] = g.targets[k];
    }
    if (placed < n) return 3;
    const auto ordered = std::chrono::steady_clock::now();

    std::fill(earlyStart.begin(), earlyStart.end(), 0.0);
    double finish = 0;
    for (int place = 0; place < n; place++) {
      const int i = order[place];
      const double start = earlyStart[i], end = start + durations[i];
      earlyFinish[i] = end;
      finish = std::max(finish, end);
      for (int k = firstLink[i]; k < firstLink[i + 1]; k++) {
        const int j = g.targets[k];
        const double from = (g.types[k] & 1) ? start : end;
        const double earliest = from + g.lags[k] - ((g.types[k] & 2) ? durations[j] : 0.0);
        earlyStart[j] = std::max(earlyStart[j], earliest);
      }
    }
    for (int place = n - 1; place >= 0; place--) {
      const int i = order[place];
      double latest = finish, room = finish - earlyFinish[i];
      for (int k = firstLink[i]; k < firstLink[i + 1]; k++) {
        const int j = g.targets[k];
        const double back = (g.types[k] & 2) ? lateFinish[j] : lateStart[j];
        const double other = (g.types[k] & 2) ? earlyFinish[j] : earlyStart[j];
        const double own = (g.types[k] & 1) ? earlyStart[i] : earlyFinish[i];
        latest = std::min(latest, back - g.lags[k] + ((g.types[k] & 1) ? durations[i] : 0.0));
        room = std::min(room, other - own - g.lags[k]);
      }
      lateFinish[i] = latest;
      lateStart[i] = latest - durations[i];
      totalFloat[i] = lateStart[i] - earlyStart[i];
      freeFloat[i] = room;
    }
    const auto ended = std::chrono::steady_clock::now();

    double check = finish;
    for (int i = 0; i < n; i++) check += totalFloat[i] + freeFloat[i];
    printf("%.9f %.9f %.3f\n", std::chrono::duration<double>(ended - begun).count(),
           std::chrono::duration<double>(ended - ordered).count(), check);
  }
}
