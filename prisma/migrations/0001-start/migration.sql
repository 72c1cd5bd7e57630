-- CreateTable
CREATE TABLE "Build" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT DEFAULT 1,
    "name" TEXT NOT NULL,
    "about" TEXT NOT NULL DEFAULT '',
    "partPrefix" TEXT NOT NULL,
    "country" TEXT NOT NULL,
    "timeZone" TEXT NOT NULL,
    "currency" TEXT NOT NULL,
    "weekdays" TEXT NOT NULL DEFAULT '1,2,3,4,5',
    "bulletinWeekday" INTEGER NOT NULL DEFAULT 7,
    "silentAfterDays" INTEGER NOT NULL DEFAULT 14,
    "leadWeeklyHours" REAL NOT NULL DEFAULT 10,
    "postAddress" TEXT NOT NULL DEFAULT '',
    "postContact" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "Person" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "role" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "email" TEXT,
    "reach" TEXT NOT NULL DEFAULT '',
    "address" TEXT NOT NULL DEFAULT '',
    "country" TEXT NOT NULL DEFAULT '',
    "thanksBy" TEXT NOT NULL DEFAULT 'name',
    "alias" TEXT NOT NULL DEFAULT '',
    "passwordHash" TEXT,
    "weeklyHours" REAL NOT NULL DEFAULT 4,
    "lengthUnit" TEXT NOT NULL DEFAULT 'mm',
    "about" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL,
    "deactivatedAt" DATETIME,
    "forgottenAt" DATETIME
);

-- CreateTable
CREATE TABLE "Tool" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "personId" INTEGER NOT NULL,
    "name" TEXT NOT NULL,
    "processId" INTEGER,
    "xMm" REAL,
    "yMm" REAL,
    "zMm" REAL,
    "materials" TEXT NOT NULL DEFAULT '',
    "note" TEXT NOT NULL DEFAULT '',
    "removedAt" DATETIME,
    CONSTRAINT "Tool_personId_fkey" FOREIGN KEY ("personId") REFERENCES "Person" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Tool_processId_fkey" FOREIGN KEY ("processId") REFERENCES "Process" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Away" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "personId" INTEGER NOT NULL,
    "fromOn" TEXT NOT NULL,
    "untilOn" TEXT NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "removedAt" DATETIME,
    CONSTRAINT "Away_personId_fkey" FOREIGN KEY ("personId") REFERENCES "Person" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Session" (
    "id" TEXT NOT NULL PRIMARY KEY,
    "personId" INTEGER,
    "data" TEXT NOT NULL,
    "createdAt" DATETIME NOT NULL,
    "seenAt" DATETIME NOT NULL,
    "expiresAt" DATETIME NOT NULL,
    CONSTRAINT "Session_personId_fkey" FOREIGN KEY ("personId") REFERENCES "Person" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Ticket" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "hash" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "role" TEXT,
    "personId" INTEGER,
    "note" TEXT NOT NULL DEFAULT '',
    "createdById" INTEGER,
    "createdAt" DATETIME NOT NULL,
    "expiresAt" DATETIME NOT NULL,
    "usedAt" DATETIME,
    "revokedAt" DATETIME
);

-- CreateTable
CREATE TABLE "SentForm" (
    "token" TEXT NOT NULL PRIMARY KEY,
    "personId" INTEGER,
    "at" DATETIME NOT NULL,
    "location" TEXT NOT NULL
);

-- CreateTable
CREATE TABLE "Act" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "at" DATETIME NOT NULL,
    "kind" TEXT NOT NULL,
    "personId" INTEGER,
    "partId" INTEGER,
    "jobId" INTEGER,
    "aboutId" INTEGER,
    "thingType" TEXT,
    "thingId" INTEGER,
    "milli" INTEGER,
    "before" TEXT,
    "after" TEXT,
    CONSTRAINT "Act_personId_fkey" FOREIGN KEY ("personId") REFERENCES "Person" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Material" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "key" TEXT,
    "name" TEXT NOT NULL,
    "family" TEXT NOT NULL DEFAULT '',
    "density" REAL,
    "expansion" REAL,
    "stiffness" REAL,
    "cautions" TEXT NOT NULL DEFAULT '[]',
    "source" TEXT NOT NULL DEFAULT '',
    "data" TEXT NOT NULL DEFAULT '{}',
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Process" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "key" TEXT,
    "name" TEXT NOT NULL,
    "gradeBest" INTEGER,
    "gradeUsual" INTEGER,
    "cautions" TEXT NOT NULL DEFAULT '[]',
    "source" TEXT NOT NULL DEFAULT '',
    "data" TEXT NOT NULL DEFAULT '{}',
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Part" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "number" TEXT NOT NULL,
    "numberKey" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "unit" TEXT NOT NULL DEFAULT 'piece',
    "note" TEXT NOT NULL DEFAULT '',
    "materialId" INTEGER,
    "processId" INTEGER,
    "massGrams" REAL,
    "supplier" TEXT NOT NULL DEFAULT '',
    "supplierNumber" TEXT NOT NULL DEFAULT '',
    "packMilli" INTEGER,
    "priceCents" INTEGER,
    "leadDays" INTEGER,
    "shelfMilli" INTEGER NOT NULL DEFAULT 0,
    "listedMilli" INTEGER,
    "designHours" REAL,
    "makeDays" INTEGER,
    "createdAt" DATETIME NOT NULL,
    "removedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Use" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "parentId" INTEGER NOT NULL,
    "childId" INTEGER NOT NULL,
    "milli" INTEGER NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    CONSTRAINT "Use_parentId_fkey" FOREIGN KEY ("parentId") REFERENCES "Part" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Use_childId_fkey" FOREIGN KEY ("childId") REFERENCES "Part" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Revision" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "partId" INTEGER NOT NULL,
    "letter" TEXT NOT NULL,
    "state" TEXT NOT NULL,
    "change" TEXT NOT NULL DEFAULT '',
    "materialId" INTEGER,
    "processId" INTEGER,
    "materialNote" TEXT NOT NULL DEFAULT '',
    "finish" TEXT NOT NULL DEFAULT '',
    "generalTolerance" TEXT NOT NULL DEFAULT '',
    "notes" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL,
    "releasedAt" DATETIME,
    "releasedById" INTEGER,
    "endedAt" DATETIME,
    "version" INTEGER NOT NULL DEFAULT 1,
    CONSTRAINT "Revision_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Document" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "revisionId" INTEGER NOT NULL,
    "kind" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "sha256" TEXT NOT NULL,
    "bytes" INTEGER NOT NULL,
    "fileKind" TEXT NOT NULL,
    "mediaType" TEXT NOT NULL,
    "addedAt" DATETIME NOT NULL,
    "addedById" INTEGER NOT NULL,
    "removedAt" DATETIME,
    CONSTRAINT "Document_revisionId_fkey" FOREIGN KEY ("revisionId") REFERENCES "Revision" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Characteristic" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "revisionId" INTEGER NOT NULL,
    "position" INTEGER NOT NULL,
    "label" TEXT NOT NULL,
    "text" TEXT NOT NULL,
    "isKey" BOOLEAN NOT NULL DEFAULT false,
    "removedAt" DATETIME,
    CONSTRAINT "Characteristic_revisionId_fkey" FOREIGN KEY ("revisionId") REFERENCES "Revision" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Job" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "kind" TEXT NOT NULL,
    "title" TEXT NOT NULL,
    "partId" INTEGER,
    "revisionId" INTEGER,
    "milli" INTEGER NOT NULL DEFAULT 1000,
    "note" TEXT NOT NULL DEFAULT '',
    "wantedOn" TEXT,
    "hours" REAL,
    "days" INTEGER,
    "personId" INTEGER,
    "fromJobId" INTEGER,
    "fromReason" TEXT,
    "gatheringId" INTEGER,
    "firstPiece" BOOLEAN NOT NULL DEFAULT false,
    "offeredAt" DATETIME,
    "strangers" BOOLEAN NOT NULL DEFAULT true,
    "startedAt" DATETIME,
    "orderedAt" DATETIME,
    "promisedOn" TEXT,
    "finishedAt" DATETIME,
    "result" TEXT NOT NULL DEFAULT '',
    "heldAt" DATETIME,
    "holdReason" TEXT NOT NULL DEFAULT '',
    "droppedAt" DATETIME,
    "dropReason" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL,
    CONSTRAINT "Job_partId_fkey" FOREIGN KEY ("partId") REFERENCES "Part" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "JobLink" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "fromId" INTEGER NOT NULL,
    "toId" INTEGER NOT NULL,
    "type" TEXT NOT NULL,
    "lag" INTEGER NOT NULL DEFAULT 0,
    CONSTRAINT "JobLink_fromId_fkey" FOREIGN KEY ("fromId") REFERENCES "Job" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "JobLink_toId_fkey" FOREIGN KEY ("toId") REFERENCES "Job" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Claim" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "jobId" INTEGER NOT NULL,
    "personId" INTEGER NOT NULL,
    "revisionId" INTEGER,
    "milli" INTEGER NOT NULL,
    "backMilli" INTEGER NOT NULL DEFAULT 0,
    "soonestDays" INTEGER NOT NULL,
    "likelyDays" INTEGER NOT NULL,
    "latestDays" INTEGER NOT NULL,
    "note" TEXT NOT NULL DEFAULT '',
    "claimedAt" DATETIME NOT NULL,
    "startedAt" DATETIME,
    "doneMilli" INTEGER NOT NULL DEFAULT 0,
    "endedAt" DATETIME,
    CONSTRAINT "Claim_jobId_fkey" FOREIGN KEY ("jobId") REFERENCES "Job" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "Claim_personId_fkey" FOREIGN KEY ("personId") REFERENCES "Person" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Report" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "claimId" INTEGER NOT NULL,
    "at" DATETIME NOT NULL,
    "doneMilli" INTEGER NOT NULL,
    "words" TEXT NOT NULL,
    "hours" REAL,
    CONSTRAINT "Report_claimId_fkey" FOREIGN KEY ("claimId") REFERENCES "Claim" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Photo" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "reportId" INTEGER,
    "problemId" INTEGER,
    "checkId" INTEGER,
    "jobId" INTEGER,
    "sha256" TEXT NOT NULL,
    "bytes" INTEGER NOT NULL,
    "width" INTEGER NOT NULL,
    "height" INTEGER NOT NULL,
    "addedAt" DATETIME NOT NULL,
    "addedById" INTEGER,
    "removedAt" DATETIME,
    CONSTRAINT "Photo_reportId_fkey" FOREIGN KEY ("reportId") REFERENCES "Report" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Query" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "jobId" INTEGER NOT NULL,
    "askedById" INTEGER NOT NULL,
    "question" TEXT NOT NULL,
    "askedAt" DATETIME NOT NULL,
    "answer" TEXT,
    "answeredAt" DATETIME,
    "answeredById" INTEGER,
    CONSTRAINT "Query_jobId_fkey" FOREIGN KEY ("jobId") REFERENCES "Job" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Parcel" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "fromId" INTEGER NOT NULL,
    "carrier" TEXT NOT NULL DEFAULT '',
    "tracking" TEXT NOT NULL DEFAULT '',
    "note" TEXT NOT NULL DEFAULT '',
    "sentAt" DATETIME NOT NULL,
    "arrivedAt" DATETIME,
    "receivedById" INTEGER,
    "arrivalNote" TEXT NOT NULL DEFAULT ''
);

-- CreateTable
CREATE TABLE "ParcelItem" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "parcelId" INTEGER NOT NULL,
    "claimId" INTEGER NOT NULL,
    "milli" INTEGER NOT NULL,
    "countedMilli" INTEGER,
    CONSTRAINT "ParcelItem_parcelId_fkey" FOREIGN KEY ("parcelId") REFERENCES "Parcel" ("id") ON DELETE RESTRICT ON UPDATE CASCADE,
    CONSTRAINT "ParcelItem_claimId_fkey" FOREIGN KEY ("claimId") REFERENCES "Claim" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "UnitCheck" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "itemId" INTEGER NOT NULL,
    "unitNo" INTEGER NOT NULL,
    "milli" INTEGER NOT NULL,
    "disposition" TEXT NOT NULL,
    "reason" TEXT NOT NULL DEFAULT '',
    "gauge" TEXT NOT NULL DEFAULT '',
    "followJobId" INTEGER,
    "at" DATETIME NOT NULL,
    "byId" INTEGER NOT NULL,
    CONSTRAINT "UnitCheck_itemId_fkey" FOREIGN KEY ("itemId") REFERENCES "ParcelItem" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "MeasuredValue" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "checkId" INTEGER NOT NULL,
    "characteristicId" INTEGER NOT NULL,
    "value" REAL NOT NULL,
    CONSTRAINT "MeasuredValue_checkId_fkey" FOREIGN KEY ("checkId") REFERENCES "UnitCheck" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Notice" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "revisionId" INTEGER NOT NULL,
    "oldRevisionId" INTEGER NOT NULL,
    "claimId" INTEGER NOT NULL,
    "at" DATETIME NOT NULL,
    "settledAt" DATETIME,
    "settledAs" TEXT,
    "settledById" INTEGER,
    CONSTRAINT "Notice_revisionId_fkey" FOREIGN KEY ("revisionId") REFERENCES "Revision" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "OldUnits" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "revisionId" INTEGER NOT NULL,
    "claimId" INTEGER NOT NULL,
    "milli" INTEGER NOT NULL,
    "at" DATETIME NOT NULL,
    "decidedAs" TEXT,
    "decidedAt" DATETIME,
    "decidedById" INTEGER,
    "followJobId" INTEGER
);

-- CreateTable
CREATE TABLE "StrangerOffer" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "jobId" INTEGER NOT NULL,
    "name" TEXT NOT NULL,
    "reach" TEXT NOT NULL,
    "country" TEXT NOT NULL DEFAULT '',
    "tools" TEXT NOT NULL,
    "milli" INTEGER NOT NULL,
    "soonestDays" INTEGER NOT NULL,
    "likelyDays" INTEGER NOT NULL,
    "latestDays" INTEGER NOT NULL,
    "words" TEXT NOT NULL DEFAULT '',
    "at" DATETIME NOT NULL,
    "settledAt" DATETIME,
    "settledAs" TEXT,
    "settledById" INTEGER,
    "claimId" INTEGER,
    CONSTRAINT "StrangerOffer_jobId_fkey" FOREIGN KEY ("jobId") REFERENCES "Job" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Problem" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "partId" INTEGER,
    "jobId" INTEGER,
    "title" TEXT NOT NULL,
    "words" TEXT NOT NULL DEFAULT '',
    "severity" INTEGER NOT NULL DEFAULT 2,
    "seenAt" DATETIME NOT NULL,
    "seenById" INTEGER,
    "redesignId" INTEGER,
    "acceptedAt" DATETIME,
    "acceptReason" TEXT NOT NULL DEFAULT '',
    "curedAt" DATETIME,
    "sameAsId" INTEGER,
    "removedAt" DATETIME,
    CONSTRAINT "Problem_redesignId_fkey" FOREIGN KEY ("redesignId") REFERENCES "Redesign" ("id") ON DELETE SET NULL ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Redesign" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "title" TEXT NOT NULL,
    "change" TEXT NOT NULL DEFAULT '',
    "trialId" INTEGER,
    "openedAt" DATETIME NOT NULL,
    "openedById" INTEGER,
    "releasedAt" DATETIME,
    "closedAt" DATETIME,
    "droppedAt" DATETIME
);

-- CreateTable
CREATE TABLE "RedesignPart" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "redesignId" INTEGER NOT NULL,
    "partId" INTEGER NOT NULL,
    "revisionId" INTEGER,
    CONSTRAINT "RedesignPart_redesignId_fkey" FOREIGN KEY ("redesignId") REFERENCES "Redesign" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Trial" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "title" TEXT NOT NULL,
    "partId" INTEGER,
    "jobId" INTEGER,
    "measured" TEXT NOT NULL,
    "unit" TEXT NOT NULL DEFAULT '',
    "how" TEXT NOT NULL DEFAULT '',
    "passWhen" TEXT NOT NULL DEFAULT '',
    "before" TEXT NOT NULL DEFAULT '[]',
    "after" TEXT NOT NULL DEFAULT '[]',
    "plannedOn" TEXT,
    "doneAt" DATETIME,
    "passed" BOOLEAN,
    "words" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "Decision" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "question" TEXT NOT NULL,
    "options" TEXT NOT NULL DEFAULT '[]',
    "jobId" INTEGER,
    "gatheringId" INTEGER,
    "askedAt" DATETIME NOT NULL,
    "askedById" INTEGER,
    "decidedAt" DATETIME,
    "decidedById" INTEGER,
    "answer" TEXT NOT NULL DEFAULT '',
    "reason" TEXT NOT NULL DEFAULT '',
    "droppedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Gathering" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "title" TEXT NOT NULL,
    "fromOn" TEXT NOT NULL,
    "untilOn" TEXT NOT NULL,
    "place" TEXT NOT NULL DEFAULT '',
    "places" INTEGER NOT NULL DEFAULT 8,
    "note" TEXT NOT NULL DEFAULT '',
    "createdAt" DATETIME NOT NULL,
    "droppedAt" DATETIME
);

-- CreateTable
CREATE TABLE "Comer" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "gatheringId" INTEGER NOT NULL,
    "personId" INTEGER NOT NULL,
    "skills" TEXT NOT NULL DEFAULT '',
    "cancelledAt" DATETIME,
    CONSTRAINT "Comer_gatheringId_fkey" FOREIGN KEY ("gatheringId") REFERENCES "Gathering" ("id") ON DELETE RESTRICT ON UPDATE CASCADE
);

-- CreateTable
CREATE TABLE "Bulletin" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "week" TEXT NOT NULL,
    "title" TEXT NOT NULL DEFAULT '',
    "opening" TEXT NOT NULL DEFAULT '',
    "closing" TEXT NOT NULL DEFAULT '',
    "omitted" TEXT NOT NULL DEFAULT '[]',
    "frozen" TEXT,
    "version" INTEGER NOT NULL DEFAULT 1,
    "publishedAt" DATETIME,
    "publishedById" INTEGER,
    "createdAt" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "FinishRecord" (
    "day" TEXT NOT NULL PRIMARY KEY,
    "finishOn" TEXT NOT NULL,
    "open" INTEGER NOT NULL,
    "critical" INTEGER NOT NULL,
    "at" DATETIME NOT NULL
);

-- CreateTable
CREATE TABLE "ImportDraft" (
    "id" INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    "personId" INTEGER NOT NULL,
    "name" TEXT NOT NULL,
    "sha256" TEXT NOT NULL,
    "options" TEXT NOT NULL DEFAULT '{}',
    "createdAt" DATETIME NOT NULL,
    "takenAt" DATETIME
);

-- CreateIndex
CREATE UNIQUE INDEX "Person_email_key" ON "Person"("email");

-- CreateIndex
CREATE INDEX "Tool_personId_idx" ON "Tool"("personId");

-- CreateIndex
CREATE INDEX "Away_personId_idx" ON "Away"("personId");

-- CreateIndex
CREATE INDEX "Session_personId_idx" ON "Session"("personId");

-- CreateIndex
CREATE INDEX "Session_expiresAt_idx" ON "Session"("expiresAt");

-- CreateIndex
CREATE UNIQUE INDEX "Ticket_hash_key" ON "Ticket"("hash");

-- CreateIndex
CREATE INDEX "Act_at_idx" ON "Act"("at");

-- CreateIndex
CREATE INDEX "Act_partId_id_idx" ON "Act"("partId", "id");

-- CreateIndex
CREATE INDEX "Act_jobId_id_idx" ON "Act"("jobId", "id");

-- CreateIndex
CREATE INDEX "Act_personId_id_idx" ON "Act"("personId", "id");

-- CreateIndex
CREATE INDEX "Act_aboutId_id_idx" ON "Act"("aboutId", "id");

-- CreateIndex
CREATE INDEX "Act_thingType_thingId_id_idx" ON "Act"("thingType", "thingId", "id");

-- CreateIndex
CREATE INDEX "Act_kind_id_idx" ON "Act"("kind", "id");

-- CreateIndex
CREATE UNIQUE INDEX "Material_key_key" ON "Material"("key");

-- CreateIndex
CREATE UNIQUE INDEX "Material_name_key" ON "Material"("name");

-- CreateIndex
CREATE UNIQUE INDEX "Process_key_key" ON "Process"("key");

-- CreateIndex
CREATE UNIQUE INDEX "Process_name_key" ON "Process"("name");

-- CreateIndex
CREATE UNIQUE INDEX "Part_numberKey_key" ON "Part"("numberKey");

-- CreateIndex
CREATE INDEX "Use_childId_idx" ON "Use"("childId");

-- CreateIndex
CREATE UNIQUE INDEX "Use_parentId_childId_key" ON "Use"("parentId", "childId");

-- CreateIndex
CREATE UNIQUE INDEX "Revision_partId_letter_key" ON "Revision"("partId", "letter");

-- CreateIndex
CREATE INDEX "Document_revisionId_idx" ON "Document"("revisionId");

-- CreateIndex
CREATE INDEX "Document_sha256_idx" ON "Document"("sha256");

-- CreateIndex
CREATE INDEX "Characteristic_revisionId_idx" ON "Characteristic"("revisionId");

-- CreateIndex
CREATE INDEX "Job_partId_idx" ON "Job"("partId");

-- CreateIndex
CREATE INDEX "Job_fromJobId_idx" ON "Job"("fromJobId");

-- CreateIndex
CREATE INDEX "JobLink_toId_idx" ON "JobLink"("toId");

-- CreateIndex
CREATE UNIQUE INDEX "JobLink_fromId_toId_type_key" ON "JobLink"("fromId", "toId", "type");

-- CreateIndex
CREATE INDEX "Claim_jobId_idx" ON "Claim"("jobId");

-- CreateIndex
CREATE INDEX "Claim_personId_idx" ON "Claim"("personId");

-- CreateIndex
CREATE INDEX "Report_claimId_idx" ON "Report"("claimId");

-- CreateIndex
CREATE INDEX "Photo_reportId_idx" ON "Photo"("reportId");

-- CreateIndex
CREATE INDEX "Photo_problemId_idx" ON "Photo"("problemId");

-- CreateIndex
CREATE INDEX "Photo_sha256_idx" ON "Photo"("sha256");

-- CreateIndex
CREATE INDEX "Query_jobId_idx" ON "Query"("jobId");

-- CreateIndex
CREATE INDEX "Parcel_arrivedAt_idx" ON "Parcel"("arrivedAt");

-- CreateIndex
CREATE INDEX "ParcelItem_claimId_idx" ON "ParcelItem"("claimId");

-- CreateIndex
CREATE UNIQUE INDEX "ParcelItem_parcelId_claimId_key" ON "ParcelItem"("parcelId", "claimId");

-- CreateIndex
CREATE INDEX "UnitCheck_itemId_idx" ON "UnitCheck"("itemId");

-- CreateIndex
CREATE INDEX "MeasuredValue_characteristicId_idx" ON "MeasuredValue"("characteristicId");

-- CreateIndex
CREATE UNIQUE INDEX "MeasuredValue_checkId_characteristicId_key" ON "MeasuredValue"("checkId", "characteristicId");

-- CreateIndex
CREATE INDEX "Notice_claimId_idx" ON "Notice"("claimId");

-- CreateIndex
CREATE UNIQUE INDEX "Notice_revisionId_claimId_key" ON "Notice"("revisionId", "claimId");

-- CreateIndex
CREATE UNIQUE INDEX "OldUnits_revisionId_claimId_key" ON "OldUnits"("revisionId", "claimId");

-- CreateIndex
CREATE INDEX "StrangerOffer_jobId_idx" ON "StrangerOffer"("jobId");

-- CreateIndex
CREATE INDEX "StrangerOffer_settledAt_idx" ON "StrangerOffer"("settledAt");

-- CreateIndex
CREATE INDEX "Problem_partId_idx" ON "Problem"("partId");

-- CreateIndex
CREATE INDEX "Problem_redesignId_idx" ON "Problem"("redesignId");

-- CreateIndex
CREATE UNIQUE INDEX "RedesignPart_redesignId_partId_key" ON "RedesignPart"("redesignId", "partId");

-- CreateIndex
CREATE UNIQUE INDEX "Comer_gatheringId_personId_key" ON "Comer"("gatheringId", "personId");

-- CreateIndex
CREATE UNIQUE INDEX "Bulletin_week_key" ON "Bulletin"("week");

-- The log only grows.
CREATE TRIGGER "Act_never_changed" BEFORE UPDATE ON "Act" BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END;
CREATE TRIGGER "Act_never_deleted" BEFORE DELETE ON "Act" BEGIN SELECT RAISE(ABORT, 'the log is append-only'); END;
