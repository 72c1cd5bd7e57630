-- CreateTable
CREATE TABLE "Fit" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "name" TEXT NOT NULL,
    "holePartId" INTEGER,
    "holePosition" INTEGER,
    "holeText" TEXT NOT NULL DEFAULT '',
    "holeExpansion" REAL,
    "holeDry" REAL NOT NULL DEFAULT 0,
    "holeDamp" REAL NOT NULL DEFAULT 0,
    "shaftPartId" INTEGER,
    "shaftPosition" INTEGER,
    "shaftText" TEXT NOT NULL DEFAULT '',
    "shaftExpansion" REAL,
    "shaftDry" REAL NOT NULL DEFAULT 0,
    "shaftDamp" REAL NOT NULL DEFAULT 0,
    "wanted" TEXT NOT NULL,
    "wantedMin" REAL,
    "wantedMax" REAL,
    "lowCelsius" REAL,
    "highCelsius" REAL,
    "note" TEXT NOT NULL DEFAULT '',
    "version" INTEGER NOT NULL DEFAULT 1,
    "createdAt" DATETIME NOT NULL,
    "createdById" INTEGER,
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Chain" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "title" TEXT NOT NULL,
    "wantedMin" REAL NOT NULL,
    "wantedMax" REAL NOT NULL,
    "lowCelsius" REAL,
    "highCelsius" REAL,
    "note" TEXT NOT NULL DEFAULT '',
    "version" INTEGER NOT NULL DEFAULT 1,
    "createdAt" DATETIME NOT NULL,
    "createdById" INTEGER,
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "ChainLink" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "chainId" INTEGER NOT NULL,
    "position" INTEGER NOT NULL,
    "partId" INTEGER,
    "characteristicPosition" INTEGER,
    "text" TEXT NOT NULL DEFAULT '',
    "fitId" INTEGER,
    "label" TEXT NOT NULL DEFAULT '',
    "direction" INTEGER NOT NULL DEFAULT 1,
    "expansion" REAL,
    "dry" REAL NOT NULL DEFAULT 0,
    "damp" REAL NOT NULL DEFAULT 0,
    "removedAt" DATETIME,
    CONSTRAINT "ChainLink_chainId_fkey" FOREIGN KEY ("chainId") REFERENCES "Chain" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- AlterTable
ALTER TABLE "Build" ADD COLUMN "lowCelsius" REAL NOT NULL DEFAULT 5;
ALTER TABLE "Build" ADD COLUMN "highCelsius" REAL NOT NULL DEFAULT 35;

-- CreateIndex
CREATE INDEX "Fit_holePartId_idx" ON "Fit"("holePartId");

-- CreateIndex
CREATE INDEX "Fit_shaftPartId_idx" ON "Fit"("shaftPartId");

-- CreateIndex
CREATE INDEX "ChainLink_chainId_idx" ON "ChainLink"("chainId");

-- CreateIndex
CREATE INDEX "ChainLink_partId_idx" ON "ChainLink"("partId");
