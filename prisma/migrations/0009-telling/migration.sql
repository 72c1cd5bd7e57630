-- AlterTable
ALTER TABLE "Redesign" ADD COLUMN "hours" REAL;

-- AlterTable
ALTER TABLE "Decision" ADD COLUMN "deciderId" INTEGER;
ALTER TABLE "Decision" ADD COLUMN "partId" INTEGER;

-- AlterTable
ALTER TABLE "Comer" ADD COLUMN "fromOn" TEXT;
ALTER TABLE "Comer" ADD COLUMN "hours" REAL;
ALTER TABLE "Comer" ADD COLUMN "untilOn" TEXT;

-- CreateTable
CREATE TABLE "PackingLine" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "gatheringId" INTEGER NOT NULL,
    "key" TEXT NOT NULL,
    "words" TEXT NOT NULL DEFAULT '',
    "personId" INTEGER,
    "packedAt" DATETIME,
    "packedById" INTEGER,
    "removedAt" DATETIME,
    CONSTRAINT "PackingLine_gatheringId_fkey" FOREIGN KEY ("gatheringId") REFERENCES "Gathering" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "MailSettings" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT DEFAULT 1,
    "host" TEXT NOT NULL DEFAULT '',
    "port" INTEGER NOT NULL DEFAULT 587,
    "secure" TEXT NOT NULL DEFAULT 'starttls',
    "user" TEXT NOT NULL DEFAULT '',
    "fromName" TEXT NOT NULL DEFAULT '',
    "fromEmail" TEXT NOT NULL DEFAULT '',
    "on" BOOLEAN NOT NULL DEFAULT false,
    "kindsOff" TEXT NOT NULL DEFAULT '[]',
    "toldActId" INTEGER NOT NULL DEFAULT 0,
    "changedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Letter" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "key" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "personId" INTEGER,
    "ticketId" INTEGER,
    "subject" TEXT NOT NULL,
    "body" TEXT NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'waiting',
    "tries" INTEGER NOT NULL DEFAULT 0,
    "nextAt" DATETIME NOT NULL,
    "lastError" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL,
    "sentAt" DATETIME,
    "settledAt" DATETIME
);

-- CreateTable
CREATE TABLE "Hook" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "url" TEXT NOT NULL,
    "kinds" TEXT NOT NULL DEFAULT '[]',
    "note" TEXT NOT NULL DEFAULT '',
    "turn" INTEGER NOT NULL DEFAULT 0,
    "createdAt" DATETIME NOT NULL,
    "pausedAt" DATETIME,
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "HookCall" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "hookId" INTEGER NOT NULL,
    "key" TEXT NOT NULL,
    "payload" TEXT NOT NULL,
    "state" TEXT NOT NULL DEFAULT 'waiting',
    "tries" INTEGER NOT NULL DEFAULT 0,
    "nextAt" DATETIME NOT NULL,
    "status" INTEGER,
    "lastError" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL,
    "settledAt" DATETIME,
    CONSTRAINT "HookCall_hookId_fkey" FOREIGN KEY ("hookId") REFERENCES "Hook" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- AlterTable
ALTER TABLE "Build" ADD COLUMN "speakPace" INTEGER NOT NULL DEFAULT 130;
ALTER TABLE "Build" ADD COLUMN "bulletinMinutes" REAL;

-- AlterTable
ALTER TABLE "Person" ADD COLUMN "thanksWords" TEXT NOT NULL DEFAULT '';
ALTER TABLE "Person" ADD COLUMN "mailOff" TEXT NOT NULL DEFAULT '[]';
ALTER TABLE "Person" ADD COLUMN "calendarTurn" INTEGER NOT NULL DEFAULT 0;

-- AlterTable
ALTER TABLE "Ticket" ADD COLUMN "email" TEXT NOT NULL DEFAULT '';

-- AlterTable
ALTER TABLE "Trial" ADD COLUMN "kind" TEXT NOT NULL DEFAULT 'other';
ALTER TABLE "Trial" ADD COLUMN "wantedMin" REAL;
ALTER TABLE "Trial" ADD COLUMN "wantedMax" REAL;
ALTER TABLE "Trial" ADD COLUMN "worthwhile" REAL;
ALTER TABLE "Trial" ADD COLUMN "noiseBefore" TEXT NOT NULL DEFAULT '[]';
ALTER TABLE "Trial" ADD COLUMN "noiseAfter" TEXT NOT NULL DEFAULT '[]';
ALTER TABLE "Trial" ADD COLUMN "runsBefore" REAL;
ALTER TABLE "Trial" ADD COLUMN "runsAfter" REAL;
ALTER TABLE "Trial" ADD COLUMN "runsUnit" TEXT NOT NULL DEFAULT '';

-- AlterTable
ALTER TABLE "Gathering" ADD COLUMN "beginsAt" TEXT NOT NULL DEFAULT '09:00';
ALTER TABLE "Gathering" ADD COLUMN "dayHours" REAL NOT NULL DEFAULT 8;

-- AlterTable
ALTER TABLE "Bulletin" ADD COLUMN "sections" TEXT NOT NULL DEFAULT '{}';
ALTER TABLE "Bulletin" ADD COLUMN "passedOver" TEXT NOT NULL DEFAULT '[]';
ALTER TABLE "Bulletin" ADD COLUMN "minutes" REAL;

-- RedefineTables: three words become ranks of 1 to 10 (small 3, hinders 6, stops or can hurt 8). No table refers to this one.
CREATE TABLE "new_Problem" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "partId" INTEGER,
    "jobId" INTEGER,
    "title" TEXT NOT NULL,
    "words" TEXT NOT NULL DEFAULT '',
    "severity" INTEGER NOT NULL DEFAULT 5,
    "occurrence" INTEGER,
    "detection" INTEGER,
    "often" TEXT NOT NULL DEFAULT '',
    "seenAt" DATETIME NOT NULL,
    "seenById" INTEGER,
    "redesignId" INTEGER,
    "acceptedAt" DATETIME,
    "acceptReason" TEXT NOT NULL DEFAULT '',
    "acceptedById" INTEGER,
    "curedAt" DATETIME,
    "sameAsId" INTEGER,
    "removedAt" DATETIME,
    CONSTRAINT "Problem_redesignId_fkey" FOREIGN KEY ("redesignId") REFERENCES "Redesign" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);
INSERT INTO "new_Problem" ("acceptReason", "acceptedAt", "curedAt", "id", "jobId", "partId", "redesignId", "removedAt", "sameAsId", "seenAt", "seenById", "severity", "title", "words") SELECT "acceptReason", "acceptedAt", "curedAt", "id", "jobId", "partId", "redesignId", "removedAt", "sameAsId", "seenAt", "seenById", CASE "severity" WHEN 1 THEN 3 WHEN 3 THEN 8 ELSE 6 END, "title", "words" FROM "Problem";
DROP TABLE "Problem";
ALTER TABLE "new_Problem" RENAME TO "Problem";
CREATE INDEX "Problem_partId_idx" ON "Problem"("partId");
CREATE INDEX "Problem_redesignId_idx" ON "Problem"("redesignId");

-- CreateIndex
CREATE UNIQUE INDEX "PackingLine_gatheringId_key_key" ON "PackingLine"("gatheringId", "key");

-- CreateIndex
CREATE UNIQUE INDEX "Letter_key_key" ON "Letter"("key");

-- CreateIndex
CREATE INDEX "Letter_state_nextAt_idx" ON "Letter"("state", "nextAt");

-- CreateIndex
CREATE INDEX "Letter_personId_idx" ON "Letter"("personId");

-- CreateIndex
CREATE INDEX "HookCall_state_nextAt_idx" ON "HookCall"("state", "nextAt");

-- CreateIndex
CREATE UNIQUE INDEX "HookCall_hookId_key_key" ON "HookCall"("hookId", "key");

-- What is in the log until now was told by other ways: letters and calls begin after it.
INSERT INTO "MailSettings" ("id", "toldActId") SELECT 1, COALESCE(MAX("id"), 0) FROM "Act";
