-- CreateTable
CREATE TABLE "DocumentFacts" (
    "sha256" TEXT NOT NULL PRIMARY KEY,
    "fileKind" TEXT NOT NULL,
    "version" INTEGER NOT NULL,
    "state" TEXT NOT NULL,
    "facts" TEXT,
    "sentence" TEXT,
    "askedAt" DATETIME NOT NULL,
    "readAt" DATETIME
);

-- CreateIndex
CREATE INDEX "DocumentFacts_state_idx" ON "DocumentFacts"("state");

-- What is kept already is read at the next start.
INSERT INTO "DocumentFacts" ("sha256", "fileKind", "version", "state", "askedAt")
SELECT "sha256", MIN("fileKind"), 0, 'waiting', MAX("addedAt") FROM "Document"
WHERE "removedAt" IS NULL AND "fileKind" IN ('step', 'stl', 'dxf', 'pdf', 'png', 'jpeg', 'webp')
GROUP BY "sha256";
